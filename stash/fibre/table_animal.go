package fibre

import "endsmeet/stash/measure"

// Sources of all table files: generic names and numbers, Regulation (EU)
// 1007/2011 Annex I; allowances, Annex IX of the same; commercial regain,
// ASTM D1909-13 as cited in a published review; measured regain at 65 %
// relative humidity and 20 °C, Morton and Hearle 2008 as cited in the same.
// Humidity: wool 4 %, cotton 2 %, acrylic none are common practice, no source;
// others are set from memory between these by how much their regain moves
// from a dry room to a damp one. Count bases, felting, care: common practice,
// no source.

// Customary bases of the animal fibres. Which of the two a worsted yarn is in
// depends on the country of the mill.
var (
	woolBases = bases(measure.BaseNeW, measure.BaseNm, measure.BaseRun, measure.BaseCut,
		measure.BaseSkein)
	hairBases = bases(measure.BaseNm, measure.BaseNeW)
	silkBases = bases(measure.BaseNm, measure.BaseSilk, measure.BaseNe)
)

// Carded comes first: Annex IX takes it where it cannot be told whether the
// fibre was combed or carded.
var hairAllowances = two("carded", 1700, "combed", 1825)

// hair makes the row of a hair of Annex I no. 2.
func hair(id ID, note string, synonyms ...string) Fibre {
	return Fibre{
		ID: id, EU: 2, EUName: string(id), Synonyms: synonyms, Class: Animal,
		Allowances: hairAllowances, Humidity: memory(400),
		CountBases: hairBases, Hazards: AnimalFibre, Felts: true, Care: HandWool, Note: note,
	}
}

func animalRows() []Fibre {
	return []Fibre{
		{
			ID: "wool", EU: 1, EUName: "wool",
			Synonyms: []string{"sheep's wool", "sheeps wool", "lambswool", "lamb's wool", "virgin wool",
				"new wool",
				"pure wool", "worsted wool", "fleece wool"},
			Class: Wool, Allowances: hairAllowances, Commercial: published(1360),
			Measured: publishedRange(1400, 1800), Humidity: practice(400),
			CountBases: woolBases, Hazards: AnimalFibre | PossibleLanolin, Felts: true, Care: HandWool,
			Note: "coarse wool prickles; felts unless treated",
		},
		hair("alpaca", "", "suri", "huacaya", "baby alpaca"),
		hair("llama", ""),
		hair("camel", "", "camel hair", "camelhair"),
		hair("cashmere", "", "kashmir"),
		hair("mohair", "sheds; sticky in the warp", "kid mohair"),
		hair("angora", "sheds", "angora rabbit", "rabbit", "rabbit hair"),
		hair("vicuna", "", "vicuña"),
		hair("yak", ""),
		hair("guanaco", ""),
		hair("cashgora", ""),
		hair("beaver", ""),
		hair("otter", ""),
		{
			ID: "animal hair", EU: 3, EUName: "animal hair",
			Synonyms: []string{"hair", "goat hair", "dog hair", "bison", "qiviut", "possum"},
			Class:    Animal, Allowances: hairAllowances, Humidity: memory(400),
			CountBases: hairBases, Hazards: AnimalFibre, Felts: true, Care: HandWool,
		},
		{
			ID: "horsehair", EU: 3, EUName: "horsehair", Synonyms: []string{"horse hair"},
			Class: Animal, Allowances: two("carded", 1500, "combed", 1600), Humidity: memory(400),
			CountBases: hairBases, Hazards: AnimalFibre, Care: HandWash,
		},
		{
			ID: "silk", EU: 4, EUName: "silk", Synonyms: []string{"silk noil", "noil silk", "tussah",
				"tussah silk", "mulberry silk", "spun silk", "bourette"},
			Class: Silk, Allowances: one(1100), Commercial: published(1100), Measured: published(1000),
			Humidity:   memory(300),
			CountBases: silkBases, Hazards: AnimalFibre, Care: HandWash,
		},
	}
}
