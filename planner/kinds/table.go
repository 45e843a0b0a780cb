package kinds

import "endsmeet/stash/measure"

// source marks what weavers do and no source states.
const source = "common practice, no source"

const (
	plain = "plain"
	twill = "2/2 twill"
	cm    = measure.Centimetre
)

// close, drape and firm are how close cloth is set, as a share of the closest
// sett: ordinary cloth, cloth that should drape, cloth that should wear
// (package cloth, Workings).
const (
	ordinary = 80 * measure.Percent
	drape    = 55 * measure.Percent
	firm     = 90 * measure.Percent
)

// piece is a row of the table of usual pieces. Sizes are of the finished cloth
// without fringe; a range that is left out goes from 70 to 130 % of the usual
// size.
type piece struct {
	name          string
	also          []string
	width, length measure.Length
	least, most   size
	structure     string
	working       measure.Ratio
	edge          edge
	rag           bool
	rules         []string
	tight         bool
}

type size struct{ width, length measure.Length }

// edge is how the ends of a piece are finished.
type edge struct {
	twisted, fringe measure.Length
	hem             measure.Length
	bunch           int
}

var (
	twisted = edge{twisted: 12 * cm, bunch: 4}
	short   = edge{fringe: 2 * cm}
	hemmed  = edge{hem: 6 * cm}
	narrow  = edge{hem: 4 * cm}
	sewn    = edge{hem: 3 * cm} // sewn up or bound: the seam
)

// What yarn for a piece must not be, as rules (package people): common practice,
// no source, beside what the presets of package people say of infants.
var (
	worn = []string{"against coarse 30 um: it would prickle on the skin",
		"against metal: it would scratch the skin",
		"against paper: it is stiff on the skin and weak when damp"}
	dried = []string{
		"against hair: it takes up little water, and felts where it is rubbed wet",
		"against synthetic: it takes up little water",
		"against paper: it is weak when soaked", "against metal: it would scratch",
		"against bleeds: it would stain what it dries",
		"against silk: hot and frequent washing wears it out",
		"against shedding 2: it would leave fluff on what it dries",
		"against possible latex: hot washing perishes it", "against elastane: hot washing perishes it",
	}
	table = []string{"against paper: it is weak when soaked", "against metal: it would scratch",
		"against bleeds: it would stain in the wash"}
	hot  = []string{"against melts: something hot may stand on it"}
	used = []string{"against paper: it is weak when soaked"}
	hard = []string{"against shedding 2: it would wear thin"}
	baby = []string{
		"against long ends: loose ends wind round a finger", "against loops: loops catch a finger",
		"against shedding 2: fluff gets into mouth and nose",
		"against metal: it would scratch", "against bleeds: it will be sucked",
		"against perished: weak threads", "against coarse 30 um: it would prickle on the skin",
		"against paper: it is weak when soaked",
	}
)

// usual is the table of usual pieces, in the order in which they are listed:
// all of it common practice, no source.
var usual = []piece{
	{name: "scarf", also: []string{"muffler"}, width: 25 * cm, length: 170 * cm,
		least: size{15 * cm, 130 * cm}, most: size{35 * cm, 200 * cm}, structure: twill,
		working: drape, edge: twisted, rules: worn},
	{name: "cowl", also: []string{"snood", "loop scarf"}, width: 28 * cm, length: 70 * cm,
		least: size{18 * cm, 55 * cm}, most: size{40 * cm, 140 * cm}, structure: twill,
		working: drape, edge: sewn, rules: worn},
	{name: "shawl", width: 55 * cm, length: 190 * cm, least: size{45 * cm, 160 * cm},
		most: size{80 * cm, 220 * cm}, structure: plain, working: drape, edge: twisted,
		rules: worn},
	{name: "wrap", also: []string{"stole"}, width: 45 * cm, length: 180 * cm,
		least: size{36 * cm, 150 * cm}, most: size{65 * cm, 210 * cm}, structure: plain,
		working: drape, edge: twisted, rules: worn},
	{name: "towel", also: []string{"tea towel", "kitchen towel", "dish towel"}, width: 48 * cm,
		length: 70 * cm, least: size{38 * cm, 55 * cm}, most: size{55 * cm, 80 * cm},
		structure: twill, working: ordinary, edge: hemmed, rules: dried},
	{name: "hand towel", also: []string{"guest towel"}, width: 40 * cm, length: 60 * cm,
		structure: twill, working: ordinary, edge: hemmed, rules: dried},
	{name: "bath towel", width: 65 * cm, length: 130 * cm, least: size{55 * cm, 110 * cm},
		most: size{75 * cm, 150 * cm}, structure: twill, working: ordinary, edge: hemmed,
		rules: dried},
	{name: "dishcloth", also: []string{"face cloth", "wash cloth"}, width: 27 * cm, length: 27 * cm,
		structure: plain, working: ordinary, edge: narrow, rules: dried},
	{name: "napkin", width: 40 * cm, length: 40 * cm, least: size{30 * cm, 30 * cm},
		most: size{50 * cm, 50 * cm}, structure: plain, working: ordinary, edge: narrow,
		rules: table},
	{name: "place mat", also: []string{"placemat", "table mat"}, width: 33 * cm, length: 45 * cm,
		least: size{28 * cm, 38 * cm}, most: size{36 * cm, 50 * cm}, structure: plain,
		working: firm, edge: hemmed, rules: hot},
	{name: "runner", also: []string{"table runner"}, width: 35 * cm, length: 120 * cm,
		least: size{25 * cm, 80 * cm}, most: size{45 * cm, 200 * cm}, structure: twill,
		working: ordinary, edge: hemmed},
	{name: "tablecloth", also: []string{"table square"}, width: 90 * cm, length: 90 * cm,
		structure: twill, working: ordinary, edge: hemmed, rules: table},
	{name: "bread cloth", also: []string{"basket cloth"}, width: 40 * cm, length: 40 * cm,
		structure: plain, working: ordinary, edge: short, rules: table},
	{name: "cushion", also: []string{"cushion cover", "pillow"}, width: 42 * cm, length: 90 * cm,
		least: size{32 * cm, 68 * cm}, most: size{52 * cm, 110 * cm}, structure: twill,
		working: ordinary, edge: sewn, rules: used},
	{name: "baby blanket", also: []string{"cot blanket"}, width: 75 * cm, length: 90 * cm,
		least: size{60 * cm, 70 * cm}, most: size{95 * cm, 110 * cm}, structure: plain,
		working: drape, edge: hemmed, rules: baby},
	{name: "lap blanket", also: []string{"knee rug"}, width: 85 * cm, length: 110 * cm,
		least: size{70 * cm, 90 * cm}, most: size{100 * cm, 130 * cm}, structure: twill,
		working: drape, edge: hemmed, rules: used},
	{name: "throw", also: []string{"blanket"}, width: 120 * cm, length: 170 * cm,
		least: size{100 * cm, 140 * cm}, most: size{150 * cm, 200 * cm}, structure: twill,
		working: drape, edge: twisted, rules: used},
	{name: "mug rug", width: 13 * cm, length: 18 * cm, structure: plain, working: firm, edge: short,
		rules: hot},
	{name: "coaster", width: 10 * cm, length: 10 * cm, least: size{8 * cm, 8 * cm},
		most: size{13 * cm, 13 * cm}, structure: plain, working: firm, edge: short, rules: hot},
	{name: "bookmark", width: 5 * cm, length: 18 * cm, structure: plain, working: firm,
		edge: short},
	{name: "bag", also: []string{"tote"}, width: 38 * cm, length: 84 * cm,
		least: size{28 * cm, 60 * cm}, most: size{45 * cm, 100 * cm}, structure: twill,
		working: firm, edge: sewn, rules: used},
	{name: "pouch", also: []string{"purse"}, width: 20 * cm, length: 30 * cm, structure: plain,
		working: firm, edge: sewn},
	{name: "band", also: []string{"strap", "trim"}, width: 4 * cm, length: 120 * cm,
		least: size{2 * cm, 60 * cm}, most: size{6 * cm, 250 * cm}, structure: plain, working: firm,
		edge: short, rules: hard, tight: true},
	{name: "belt", also: []string{"sash"}, width: 6 * cm, length: 150 * cm,
		least: size{4 * cm, 110 * cm}, most: size{9 * cm, 220 * cm}, structure: plain,
		working: firm, edge: edge{fringe: 10 * cm}, rules: hard, tight: true},
	{name: "rug", also: []string{"rag rug", "bath mat"}, width: 60 * cm, length: 90 * cm,
		least: size{50 * cm, 60 * cm}, most: size{80 * cm, 150 * cm}, structure: plain,
		edge: edge{fringe: 24 * cm}, rag: true, rules: hard, tight: true},
}

// A rag rug's warp and rags (common practice, no source):
// three doubled ends for each centimetre, 1.5 kg of rags for each square metre.
const (
	ragSett    = 3 * measure.PerCentimetre
	ragStrands = 2
	ragMass    = 1500 * measure.Gram
)
