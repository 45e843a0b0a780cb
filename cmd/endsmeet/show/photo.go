package show

import (
	"fmt"
	"io"
	"strings"

	"endsmeet/stash"
)

// PhotoItem is the JSON shape of a photo.
type PhotoItem struct {
	ID     stash.PhotoID `json:"id"`
	Of     string        `json:"of"`
	At     string        `json:"at"`
	Width  int           `json:"width"`
	Height int           `json:"height"`
	Bytes  int64         `json:"bytes"`
	// Here says whether its bytes are on this machine, small and full.
	HereSmall bool `json:"here_small"`
	HereFull  bool `json:"here_full"`
	// Middle is the colour of its middle, told when it is added.
	Middle *string `json:"middle_colour,omitempty"`
}

// PrintPhotoAdded says what became of a picture.
func PrintPhotoAdded(w io.Writer, p PhotoItem) {
	fmt.Fprintf(w, "Kept: a photo of %s, %d × %d, %s.\n", stash.Clean(p.Of), p.Width, p.Height,
		BytesWords(p.Bytes))
	if p.Middle != nil && strings.TrimSpace(*p.Middle) != "" {
		fmt.Fprintf(w, "Its middle is about %s. If that is how the colour looks, say so: %s\n",
			*p.Middle, stash.Command("set", stash.Clean(p.Of), "swatch="+*p.Middle))
	}
}

// BytesWords is a size of a file.
func BytesWords(n int64) string {
	if n < 1_000_000 {
		return fmt.Sprintf("%d kB", (n+500)/1000)
	}
	return fmt.Sprintf("%.1f MB", float64(n)/1e6)
}

// PrintPhotos prints the pictures of a thing.
func PrintPhotos(w io.Writer, items []PhotoItem) {
	if len(items) == 0 {
		fmt.Fprintln(w, "No photos yet. Keep one: endsmeet photo add ITEM FILE")
		return
	}
	t := NewTable("of", "day", ">pixels", ">size", "")
	for _, p := range items {
		note := ""
		if !p.HereFull {
			note = "not on this machine yet"
		}
		t.Add(p.Of, p.At, fmt.Sprintf("%d × %d", p.Width, p.Height), BytesWords(p.Bytes), note)
	}
	t.DropEmpty()
	t.Print(w)
}

// PrintPhotoRow prints what photoWords say.
func PrintPhotoRow(w io.Writer, words string) {
	if words != "" {
		fmt.Fprintf(w, "  %-12s %s\n", "photo", words)
	}
}
