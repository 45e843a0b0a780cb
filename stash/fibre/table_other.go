package fibre

import "endsmeet/stash/measure"

// IDs of what is not, or not fully, known.
const (
	Unknown          ID = "unknown"
	UnknownAnimal    ID = "unknown animal fibre"
	UnknownCellulose ID = "unknown cellulose fibre"
	UnknownSynthetic ID = "unknown synthetic fibre"
	UnknownElastic   ID = "unknown elastic"
)

// everyHazard is what an unknown fibre may hold.
const everyHazard = UnknownHazard | PossibleLatex | PossibleLanolin

func otherRows() []Fibre {
	return []Fibre{
		{
			ID: "elastodiene", EU: 42, EUName: "elastodiene",
			Synonyms: []string{"rubber", "latex", "natural rubber", "rubber elastic", "natural latex"},
			Class:    Rubber, Allowances: one(100), Humidity: memory(0), CountBases: filamentBases,
			Hazards: Latex, Care: Wash30, Note: "perishes with age",
		},
		{
			ID: "synthetic rubber", EU: 42, Class: Rubber, Allowances: one(100), Humidity: memory(0),
			CountBases: filamentBases,
			Hazards:    PossibleLatex, Care: Wash30,
			Note: "rubber said to be synthetic: ask the maker about natural rubber and its accelerators",
		},
		{
			ID: "glass", EU: 44, EUName: "glass fibre", Synonyms: []string{"glass fiber", "fibreglass",
				"fiberglass"}, Class: Mineral,
			Allowances: two("over 5 um", 200, "up to 5 um", 300), Humidity: memory(0),
			CountBases: bases(measure.BaseTex), Hazards: Dust, Care: SpongeOnly,
		},
		{
			ID: "metal", EU: 48, EUName: "metal", Synonyms: []string{"metal fibre", "metallic fibre",
				"copper", "steel", "stainless steel", "silver wire"},
			Class: Mineral, Allowances: one(200), Humidity: memory(0),
			CountBases: bases(measure.BaseTex, measure.BaseNm),
			Hazards:    Metal, Care: HandWash,
		},
		{
			ID: "metallised", EU: 48, EUName: "metallised",
			Synonyms: []string{"metallised film", "metallized", "metallized film", "metallised fibre",
				"metallic"},
			Class: Mineral, Allowances: one(200), Humidity: memory(0),
			CountBases: bases(measure.BaseNm, measure.BaseDtex),
			Hazards:    Metal, Melts: true, Care: HandWash, Note: "no hot iron",
		},
	}
}

// unknownRows are the kinds of which no more is known.
func unknownRows() []Fibre {
	return []Fibre{
		{
			ID: Unknown, Synonyms: []string{"other", "others", "unknown fibre", "unknown fiber",
				"not known", "other fibres", "other fibers", "other fiber"},
			Class: ClassUnknown, Humidity: practice(400), Hazards: everyHazard | AnimalFibre,
			Felts: true, Melts: true, Care: HandWool,
		},
		{
			ID: UnknownAnimal, Synonyms: []string{"animal", "animal fibre", "unknown animal",
				"protein fibre"},
			Class: Animal, Humidity: practice(400), CountBases: hairBases,
			Hazards: UnknownHazard | AnimalFibre | PossibleLanolin, Felts: true, Care: HandWool,
		},
		{
			ID: UnknownCellulose, Synonyms: []string{"cellulose", "cellulosic", "unknown cellulose",
				"plant fibre", "plant"},
			Class: Cellulose, Humidity: memory(300), CountBases: bases(measure.BaseNe, measure.BaseLea,
				measure.BaseNm),
			Hazards: UnknownHazard | Dust, Care: HandWash,
		},
		{
			ID: UnknownSynthetic, Synonyms: []string{"synthetic", "synthetics", "unknown synthetic",
				"man-made", "manmade"},
			Class: Synthetic, Humidity: memory(100),
			CountBases: bases(measure.BaseNm, measure.BaseDtex),
			Hazards:    UnknownHazard, Melts: true, Care: Wash30,
		},
		{
			ID: UnknownElastic, Synonyms: []string{"elastic", "elastic thread", "stretch"},
			Class: ClassUnknown, Humidity: memory(0), CountBases: filamentBases,
			Hazards: UnknownHazard | PossibleLatex, Melts: true, Care: Wash30,
			Note: "may be rubber: ask",
		},
	}
}
