package show

// StickersMade is the JSON shape of `stickers`: what was written.
type StickersMade struct {
	File     string `json:"file"`
	Sheet    string `json:"sheet"`
	Stickers int    `json:"stickers"`
	Sheets   int    `json:"sheets"`
	// WithoutCode is how many have no room for their code.
	WithoutCode int `json:"without_code"`
}

// SheetItem is the JSON shape of a sheet, in micrometres.
type SheetItem struct {
	Name   string `json:"name"`
	Page   string `json:"page"`
	Across int    `json:"across"`
	Down   int    `json:"down"`
	Width  int    `json:"width_um"`
	Height int    `json:"height_um"`
	Round  bool   `json:"round"`
}
