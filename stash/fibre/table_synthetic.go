package fibre

import "endsmeet/stash/measure"

var filamentBases = bases(measure.BaseDtex, measure.BaseDenier, measure.BaseNm)

// synthetic makes the row of a fibre made from oil. Whether it melts is common
// knowledge for each: thermosets and aramids char.
func synthetic(id ID, eu int, allowance int64, melts bool, synonyms ...string) Fibre {
	return Fibre{
		ID: id, EU: eu, EUName: string(id), Synonyms: synonyms, Class: Synthetic,
		Allowances: one(allowance), Humidity: memory(0),
		CountBases: filamentBases, Melts: melts, Care: Wash40,
	}
}

func syntheticRows() []Fibre {
	return []Fibre{
		{
			ID: "acrylic", EU: 26, EUName: "acrylic", Synonyms: []string{"pan", "polyacrylonitrile"},
			Class:      Synthetic,
			Allowances: one(200), Humidity: practice(0),
			CountBases: bases(measure.BaseNm, measure.BaseNeW), Melts: true, Care: Wash40,
			Note: "stretches when wound",
		},
		synthetic("chlorofibre", 27, 200, true, "chlorofiber"),
		synthetic("fluorofibre", 28, 0, true, "fluorofiber"),
		synthetic("modacrylic", 29, 200, true),
		{
			ID: "nylon", EU: 30, EUName: "polyamide", Synonyms: []string{"polyamide or nylon", "pa"},
			Class:      Synthetic,
			Allowances: two("discontinuous", 625, "filament", 575), Humidity: memory(100),
			CountBases: filamentBases, Melts: true, Care: Wash40,
		},
		synthetic("aramid", 31, 800, false, "aramide"),
		synthetic("polyimide", 32, 350, false),
		synthetic("polyester", 35, 150, true, "pes", "polyethylene terephthalate"),
		synthetic("polyethylene", 36, 150, true),
		synthetic("polypropylene", 37, 200, true, "olefin"),
		synthetic("polycarbamide", 38, 200, true),
		{
			ID: "polyurethane", EU: 39, EUName: "polyurethane", Class: Synthetic,
			Allowances: two("discontinuous", 350, "filament", 300), Humidity: memory(0),
			CountBases: filamentBases, Melts: true, Care: Wash30,
		},
		synthetic("vinylal", 40, 500, true),
		synthetic("trivinyl", 41, 300, true),
		{
			ID: "elastane", EU: 43, EUName: "elastane", Synonyms: []string{"spandex"}, Class: Synthetic,
			Allowances: one(150), Humidity: memory(0), CountBases: filamentBases, Melts: true,
			Care: Wash40,
			Note: "polyurethane elastic: holds no natural rubber",
		},
		synthetic("elastomultiester", 45, 150, true),
		synthetic("elastolefin", 46, 150, true),
		synthetic("melamine", 47, 700, false),
		{
			ID: "bicomponent", EU: 49, EUName: "polypropylene/polyamide bicomponent", Class: Synthetic,
			Humidity: memory(0), CountBases: filamentBases, Melts: true, Care: Wash40,
			Note: "its allowance is not in the table: not seen in a source",
		},
		{
			ID: "polyacrylate", EU: 50, EUName: "polyacrylate", Class: Synthetic,
			Humidity: memory(400), CountBases: filamentBases, Care: Wash40,
			Note: "takes up much water; its allowance is not in the table: not seen in a source",
		},
	}
}
