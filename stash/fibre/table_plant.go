package fibre

import "endsmeet/stash/measure"

var (
	cottonBases = bases(measure.BaseNe, measure.BaseNm)
	linenBases  = bases(measure.BaseLea, measure.BaseNm)
)

// leaf makes the row of a stem or leaf fibre that is seldom woven by hand.
func leaf(id ID, eu int, allowance int64, synonyms ...string) Fibre {
	return Fibre{
		ID: id, EU: eu, EUName: string(id), Synonyms: synonyms, Class: Bast,
		Allowances: one(allowance), Humidity: memory(300),
		CountBases: linenBases, Hazards: Dust, Care: HandWash,
	}
}

func plantRows() []Fibre {
	return []Fibre{
		{
			ID: "cotton", EU: 5, EUName: "cotton",
			Synonyms: []string{"mercerised cotton", "mercerized cotton", "pima", "pima cotton",
				"organic cotton", "combed cotton"},
			Class: Cellulose, Allowances: two("normal", 850, "mercerised", 1050),
			Commercial: published(850), Measured: publishedRange(700, 800), Humidity: practice(200),
			CountBases: cottonBases, Hazards: Dust, Care: Wash60,
		},
		{
			ID: "kapok", EU: 6, EUName: "kapok", Class: Cellulose, Allowances: one(1090),
			Humidity:   memory(200),
			CountBases: cottonBases, Hazards: Dust, Care: HandWash,
		},
		{
			ID: "linen", EU: 7, EUName: "flax", Synonyms: []string{"flax or linen", "line linen",
				"tow linen"},
			Class: Bast, Allowances: one(1200), Commercial: published(1200), Measured: published(700),
			Humidity:   memory(200),
			CountBases: linenBases, Hazards: Dust, Care: Wash60, Note: "no stretch; weave in damp air",
		},
		{
			ID: "hemp", EU: 8, EUName: "hemp", Synonyms: []string{"true hemp"}, Class: Bast,
			Allowances: one(1200), Commercial: published(1200), Measured: published(800),
			Humidity:   memory(200),
			CountBases: linenBases, Hazards: Dust, Care: Wash60,
		},
		{
			ID: "jute", EU: 9, EUName: "jute", Class: Bast,
			Allowances: one(1700), Commercial: published(1375), Measured: published(1200),
			Humidity:   memory(400),
			CountBases: bases(measure.BaseTex, measure.BaseLea), Hazards: Dust, Care: SpongeOnly,
		},
		leaf("abaca", 10, 1400, "manila", "manila hemp"),
		leaf("alfa", 11, 1400, "esparto"),
		leaf("coir", 12, 1300, "coconut", "coco"),
		leaf("broom", 13, 1400),
		{
			ID: "ramie", EU: 14, EUName: "ramie", Class: Bast,
			Allowances: []Allowance{{"bleached", hundredths(850)}},
			Humidity:   memory(200), CountBases: linenBases, Hazards: Dust, Care: Wash40,
		},
		leaf("sisal", 15, 1400),
		leaf("sunn", 16, 1200),
		leaf("henequen", 17, 1400),
		leaf("maguey", 18, 1400),
		{
			ID: "nettle", Class: Bast, Humidity: memory(200), CountBases: linenBases, Hazards: Dust,
			Care:     Wash40,
			Synonyms: []string{"stinging nettle", "aloo"}, Note: "no allowance is agreed for it",
		},
		{
			ID: "paper", EU: 48, EUName: "paper yarn",
			Synonyms: []string{"kozo", "washi", "raffia paper"}, Class: Paper,
			Allowances: one(1375), Humidity: memory(300),
			CountBases: bases(measure.BaseNm, measure.BaseTex), Care: SpongeOnly,
			Note: "weak when soaked; no stretch",
		},
	}
}
