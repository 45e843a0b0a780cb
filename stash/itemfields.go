package stash

import "endsmeet/stash/fibre"

// Headings are English trade words, common practice, no source, in lower case. A
// fact that stands in both tables has them in one.

var yarnFields = []Field{
	{Name: "name", Help: "Ossentarn cotton", Parse: parseName, Headings: []string{"yarn",
		"yarn name", "title", "product", "base", "quality", "description", "what", "yarn type",
		"yarn line", "article"}},
	{Name: "fibre", Help: "cotton 60, linen 40",
		Parse: func(s string) (any, error) { return fibre.ParseContent(s) },
		Type:  typing(fibre.Content.String),
		Headings: []string{"fiber", "fibres", "fibers", "content", "fibre content",
			"fiber content", "composition", "material", "blend", "made of",
			"what it is made of"}},
	{Name: "count", Help: "8/2 Ne, label",
		Parse: func(s string) (any, error) { return ParseCountFact(s) },
		Type:  typing(CountFact.typed),
		Headings: []string{"grist", "yarn count", "size", "thickness", "tex", "dtex",
			"denier", "den", "yardage", "yarn number", "nm", "ne", "ypp", "linear density",
			"yarn size", "yards per pound", "metres per kilo", "meters per kilo", "metreage",
			"meterage"}},
	{Name: "construction", Help: "plied, brushed", Word: "WORDS", Parse: parseConstruction, Type: typedWords,
		Headings: []string{"ply", "plies", "structure", "spin", "yarn construction",
			"type", "finish"}},
	// ISO 2:1973
	choiceField("twist", string(TwistZ), string(TwistS), string(TwistZ)).
		headed("twist direction", "direction of twist", "s or z", "twist s or z"),
	choiceField("fit", "warp", string(FitWarp), string(FitSpaced), string(FitWeftOnly),
		string(FitDiscard)).headed("warp", "warp use", "warp ok", "ok for warp",
		"good for warp", "for warp", "use as warp", "use"),
	{Name: "shedding", Help: "1", Parse: number("shedding", 0, 3),
		Headings: []string{"shed", "sheds", "shed 0 3", "lint", "fluff", "shedding 0 3"}},
	choiceField("stretch", "slight", string(StretchNone), string(StretchSlight),
		string(StretchMarked), string(StretchElastic)),
	choiceField("shrinks", "normal", string(ShrinksHardly), string(ShrinksNormal),
		string(ShrinksMuch), string(ShrinksFelts)),
	{Name: "wash", Help: "40 C gentle", Word: "WORDS", Parse: func(s string) (any, error) { return ParseWash(s) },
		Type: typing(func(w Wash) string { return w.Words }),
		Headings: []string{"care", "washing", "care instructions", "laundering", "wash care",
			"wash at"}},
	{Name: "bleeds", Help: "yes", Words: answers, Parse: parseAnswered},
	{Name: "odour", Help: "smoke", Word: "TEXT", Parse: text},
	{Name: "hazards", Help: "latex, dust", Word: "WORDS", Parse: words("hazards", Hazards), Type: typedWords},
	massField("putup", "50g"),
	{Name: "source", Help: "guild table", Word: "TEXT", Parse: text},
	{Name: "note", Help: "smells of lanolin", Word: "TEXT", Parse: text},
}

var packageFields = []Field{
	{Name: "yarn", Refers: WhatYarn, Wound: true},
	{Name: "tag", Help: "Y01", Parse: parseTag},
	choiceField("form", "cone", formNames()...).headed("package", "package type",
		"put up form", "format", "kind", "wound as", "held as"),
	{Name: "lot", Help: "4417", Word: "LOT", Wound: true, Parse: text, Headings: []string{"dye lot",
		"dyelot", "dye batch", "batch", "lot no", "lot number", "dye lot no", "dye lot number",
		"bath", "dye bath"}},
	{Name: "colour", Help: "oat", Wound: true, Parse: text, Headings: []string{"color",
		"colourway", "colorway", "shade", "hue", "colour name", "color name", "col"}},
	{Name: "swatch", Help: "#8a7a55", Word: "CODE", Wound: true, Headings: []string{"colour code", "hex"},
		Parse: parseSwatch},
	{Name: "bin", Help: "A1", Parse: text, Headings: []string{"where", "location", "place",
		"shelf", "box", "drawer", "storage", "stored", "stored in", "kept", "where kept",
		"kept in", "container"}},
	dayField("acquired", "2023-03", "bought", "date bought", "purchased", "purchase date",
		"date", "date acquired", "when", "when bought", "date purchased", "year", "got", "since",
		"bought on").past(),
	dayField("aired", "2026-03-14", "last aired", "date last aired", "aired on").past(),
	dayField("washed", "2026-03-14", "last washed", "washed on").past(),
	dayField("frozen", "2026-03-14", "last frozen", "frozen on").past(),
	{Name: "price", Help: "3.10 per 100g",
		Parse: func(s string) (any, error) { return ParsePrice(s) },
		Type:  typing(Price.typed),
		Headings: []string{"cost", "paid", "price paid", "total price", "total cost", "value",
			"unit price", "price each"}},
	{Name: "source", Help: "guild table", Word: "TEXT", Parse: text},
	{Name: "note", Help: "smells of lanolin", Word: "TEXT", Parse: text, Headings: []string{"notes", "comments",
		"comment", "remarks", "remark", "memo"}},
	{Name: "tare", Help: "25g weighed", Parse: func(s string) (any, error) { return ParseTare(s) },
		Type: typing(Tare.typed),
		Headings: []string{"tare weight", "tare mass", "cone weight", "cone mass",
			"empty weight", "empty cone", "tube weight", "weight of cone", "core"}},
	lengthField("longest", "75cm"),
	ratioField("length_doubt").inJSON("length_doubt_ppm"),
	{Name: "knots", Help: "1", Parse: number("knots", 0, 1000)},
	{Name: "quarantine", Past: true, Help: "2026-01-30..2026-03-01 webbing found", Word: "DATES",
		Parse:    func(s string) (any, error) { return parseQuarantine(s) },
		Type:     typing(Quarantine.typed),
		Headings: []string{"quarantined", "in quarantine", "quarantine since", "kept apart"}},
	{Name: "reserve", Help: "60g for a commission", Word: "WEIGHT",
		Parse: func(s string) (any, error) { return ParseReserve(s) },
		Type:  typing(Reserve.typed),
		Headings: []string{"reserved", "reserved for", "promised", "promised to", "kept for",
			"earmarked", "earmarked for"}},
}

// past gives the field the mark of what has happened.
func (f Field) past() Field {
	f.Past = true
	return f
}

// dayField is a field of which the value is a day, which may be told from today.
func dayField(name, help string, headings ...string) Field {
	return Field{Name: name, Help: help, Dated: true, Headings: headings,
		Parse: func(s string) (any, error) { return parseDay(s) }}
}
