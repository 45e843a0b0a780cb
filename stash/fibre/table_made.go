package fibre

import "endsmeet/stash/measure"

// viscoseLike makes the row of a fibre regenerated from cellulose.
func viscoseLike(id ID, eu int, care Care, note string, synonyms ...string) Fibre {
	return Fibre{
		ID: id, EU: eu, EUName: string(id), Synonyms: synonyms, Class: Regenerated,
		Allowances: one(1300), Humidity: memory(300),
		CountBases: bases(measure.BaseNe, measure.BaseNm, measure.BaseDenier), Care: care,
		Note: note,
	}
}

func madeRows() []Fibre {
	return []Fibre{
		{
			ID: "acetate", EU: 19, EUName: "acetate", Class: Regenerated, Allowances: one(900),
			Humidity:   memory(100),
			CountBases: bases(measure.BaseDenier, measure.BaseNm), Melts: true, Care: Wash30,
		},
		{
			ID: "alginate", EU: 20, EUName: "alginate", Synonyms: []string{"seaweed"},
			Class: Regenerated, Allowances: one(2000),
			Humidity: memory(400), CountBases: bases(measure.BaseTex), Care: HandWash,
		},
		viscoseLike("cupro", 21, HandWash, "", "cuprammonium", "cupra"),
		viscoseLike("modal", 22, Wash40, ""),
		{
			ID: "protein", EU: 23, EUName: "protein", Synonyms: []string{"milk", "casein", "soy",
				"soya", "soybean", "azlon"},
			Class: Regenerated, Allowances: one(1700), Humidity: memory(300),
			CountBases: bases(measure.BaseNm), Care: HandWash,
			Note: "made from milk, soya or other protein: ask which, for a person who reacts to foods",
		},
		{
			ID: "triacetate", EU: 24, EUName: "triacetate", Class: Regenerated, Allowances: one(700),
			Humidity:   memory(100),
			CountBases: bases(measure.BaseDenier, measure.BaseNm), Melts: true, Care: Wash30,
		},
		viscoseLike("viscose", 25, HandWash, "weak when wet", "rayon", "viscose rayon",
			"bamboo viscose", "bamboo rayon",
			"bamboo", "viscose from bamboo", "rayon from bamboo", "art silk", "artificial silk"),
		viscoseLike("lyocell", 33, Wash40, "", "lyocel"),
		{
			ID: "polylactide", EU: 34, EUName: "polylactide", Synonyms: []string{"pla", "corn fibre"},
			Class:      Synthetic,
			Allowances: one(150), Humidity: memory(0),
			CountBases: bases(measure.BaseDtex, measure.BaseNm), Melts: true, Care: Wash30,
		},
	}
}
