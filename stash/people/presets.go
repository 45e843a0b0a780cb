package people

// gatheredOn is the day on which the presets' sources were put together.
const gatheredOn = "2026-11-25"

// Sources of the presets, by kind. Donor rules differ from house to house and
// contradict each other, so a preset is where a talk begins, not where it ends.
const (
	donorRules = "donor rules of charities and hospitals (several, which disagree)"
	wardRules  = donorRules + "; the ward's own sheet comes first"
	skinSource = "international wool body's page on skin: mean above 22 um or 5 % of fibres above 30 um prickles; makers' reports"
)

// presets are the usual cases. What is seldom recorded is asked for "if known"; fibre, where it
// matters, so that unknown fibre comes out as unknown and does not pass. Bed and body linen that goes to a ward must
// bear the ward's laundry: 60 C is common practice, no source; ask.
var presets = []Preset{
	{
		Name: "respiratory", Also: []string{"asthma", "copd", "lungs"},
		About: "lungs that react: shedding fibre, dust, scents",
		Grade: "P M", Source: "medical abstracts and makers' reports on shedding fibre, dust and scents", Dated: gatheredOn,
		Rules: []string{
			"against shedding 2: loose fibre is breathed in",
			"ask shedding 1 if known: even a little loose fibre",
			"ask mohair: often sheds; one person reacted strongly to a blend with 25 %",
			"ask angora: often sheds",
			"ask dust if known: linen and raw fibre give off dust",
			"against odour if known: smoke, mothballs and perfume trouble lungs",
		},
	},
	{
		Name: "wool reaction", Also: []string{"wool", "no wool"},
		About: "a reaction to sheep's wool; other hair by itself may be borne, ask",
		Grade: "P", Source: "makers' reports: one person bears alpaca and not merino, the next the reverse", Dated: gatheredOn,
		Rules: []string{
			"against wool: reacts to wool",
			"ask hair if known: other hair may do the same; each person differs",
		},
	},
	{
		Name: "animal hair reaction", Also: []string{"animal hair", "hair"},
		About: "a reaction to any animal fibre; strike out the rules for those that are borne",
		Grade: "P", Source: "makers' reports; claims that alpaca does not provoke reactions are unsupported", Dated: gatheredOn,
		Rules: []string{
			"against hair: reacts to animal hair",
			"ask silk if known: of animal origin, but no hair",
		},
	},
	{
		Name: "latex", Also: []string{"latex allergy", "rubber"},
		About: "an allergy to natural rubber latex",
		Grade: "M", Source: "latex allergy newsletter, Sept 1996 (elastic yarns may have rubber cores; cotton, nylon and elastane fibres hold none); chapter on rubber by Crepy and Belsito (accelerators)", Dated: gatheredOn,
		Rules: []string{
			"against latex: natural rubber",
			"against possible latex: elastic of a kind not stated may be rubber",
		},
	},
	{
		Name: "infant", Also: []string{"baby", "babies", "toddler"},
		About: "babies and toddlers at home: nothing to swallow, nothing to wind round a finger or a neck",
		Grade: "C T", Source: "donor rules and teaching; EN 14682 (cords on children's clothing, scarves excluded) and 16 CFR 1120 (drawstrings) say nothing of a fringe", Dated: gatheredOn,
		Rules: []string{
			"against fringe: a thread round a toe or finger cuts off blood; choking",
			"against ties: a cord near a neck",
			"against holes if known: fingers catch in openwork",
			"against long ends if known: loose ends wind round a finger",
			"against loops if known: loops catch a finger",
			"against shedding 2: fluff gets into mouth and nose",
			"against metal: scratches",
			"against bleeds if known: it will be sucked",
			"ask hair: many parents and clinics want no wool",
		},
	},
	{
		Name: "newborn unit", Also: []string{"newborn", "newborn ward", "newborn care", "nicu"},
		About: "newborn intensive care; many wards take no blankets at all: ask first",
		Grade: "C", Source: wardRules, Dated: gatheredOn,
		Rules: []string{
			"against hair: no wool in the unit",
			"ask only acrylic, cotton if known: acrylic preferred, cotton accepted",
			"survives 40 C normal: it is washed hot; ask how hot",
			"against long ends if known: strands tangle in equipment",
			"against loops if known: strands tangle in equipment",
			"against fringe: strands tangle in equipment",
			"against ties: strands tangle in equipment",
			"against holes if known: tubing goes through",
			"against shedding 1: fluff",
			"against thick 500 tex: heavy yarn",
			"against perished if known: old brittle yarn",
			"against odour if known: nothing from a smoking home",
			"against latex: many units keep rubber out",
			"against possible latex: many units keep rubber out",
		},
	},
	{
		Name: "ward", Also: []string{"infusion ward", "hospital"},
		About: "a hospital ward or infusion room: hot laundry, weak lungs, tubing",
		Grade: "C", Source: wardRules, Dated: gatheredOn,
		Rules: []string{
			"survives 60 C normal: the ward's laundry is hot; ask how hot",
			"against shedding 2: loose fibre",
			"ask shedding 1 if known: loose fibre",
			"ask hair if known: some wards take no wool",
			"against odour if known: unscented, no smoke, no pets",
			"against loops if known: tubing catches",
			"against long ends if known: tubing catches",
			"ask fringe if known: tubing catches",
			"against latex: somebody there may react",
			"against possible latex: somebody there may react",
		},
	},
	{
		Name: "head covering", Also: []string{"head covering during treatment", "cap", "head scarf"},
		About: "caps and scarves for a head that lost its hair during treatment",
		Grade: "C", Source: donorRules, Dated: gatheredOn,
		Rules: []string{
			"against wool: most houses refuse wool; if it is allowed, label it",
			"ask hair if known: some houses refuse alpaca and other hair too",
			"against coarse if known: very soft, nothing scratchy",
			"against metal: scratches",
			"against holes if known: no open holes",
			"against latex: no exposed elastic",
			"against possible latex: no exposed elastic",
			"against odour if known: washed, unscented, no smoke, pets or perfume",
			"against thick 500 tex: thin, no lumps",
			"survives 30 C gentle: machine-washable",
		},
	},
	{
		Name: "children's blanket", Also: []string{"charity blanket", "blanket"},
		About: "blankets that a charity gives to children",
		Grade: "C", Source: donorRules, Dated: gatheredOn,
		Rules: []string{
			"against fringe: loose ends",
			"against wool: many children react",
			"against thick 500 tex: weight, and gaps that catch fingers and tubing",
			"against holes if known: gaps catch fingers and tubing",
			"against ties 25 mm: trimmed ties under 1 in",
			"against odour if known: unscented detergent",
		},
	},
	{
		Name: "dementia ward", Also: []string{"dementia"},
		About: "hands that pick: pull-test every join, no pins",
		Grade: "C", Source: donorRules, Dated: gatheredOn,
		Rules: []string{
			"against long ends if known: loose threads get picked and swallowed",
			"against fringe: loose threads get picked",
			"against shedding 2: fluff gets picked and swallowed",
			"ask loops if known: they get picked; pull-test",
			"against perished if known: weak joins",
		},
	},
	{
		Name: "heat", Also: []string{"helmet liner", "fire"},
		About: "worn where there may be fire: nothing that melts, wool alone; burn-test the yarn",
		Grade: "C", Source: donorRules, Dated: gatheredOn,
		Rules: []string{
			"only wool: 100 % wool only",
			"against melts: a melting fibre burns into skin",
		},
	},
	{
		Name: "shawl group", Also: []string{"shawl"},
		About: "shawls that are given to people one does not know",
		Grade: "C", Source: donorRules, Dated: gatheredOn,
		Rules: []string{
			"ask survives 30 C gentle tumble if known: soft, machine wash and dry; wash before giving",
			"ask hair if known: some recipients react to several things",
			"ask odour if known: wash before giving",
		},
	},
	{
		Name: "itchy skin", Also: []string{"itch", "prickle", "eczema"},
		About: "skin that feels prickle, whatever the fibre; it irritates and is no allergy",
		Grade: "M P", Source: skinSource, Dated: gatheredOn,
		Rules: []string{
			"against coarse 30 um: fibre ends above 30 um prickle; wool under about 18.5 um is well borne",
			"ask coarse 22 um if known: a mean above 22 um prickles for many",
			"ask metal if known: scratches",
		},
	},
	{
		Name: "lanolin", Also: []string{"wool grease"},
		About: "a reaction to wool grease, which is rare but real",
		Grade: "M P", Source: "patch-test clinics: 0.5 to 3.7 % of those tested, not of everybody (Wakelin et al. 2001; N. American group 1994-2006; Denmark 2004-15; NE Italy 1997-2021); makers' reports", Dated: gatheredOn,
		Rules: []string{
			"against lanolin if known: raw, organic or in the grease; superwash or well-scoured wool is often borne, ask",
			"ask wool: any wool may carry some; unknown fibre may be wool",
		},
	},
	{
		Name: "dye or finish", Also: []string{"dye", "finish"},
		About: "a reaction to dye or finish; ask which, and about disperse-dyed synthetics and formaldehyde finishes",
		Grade: "M", Source: "medical abstracts on textile dyes and finishes", Dated: gatheredOn,
		Rules: []string{
			"against bleeds: wash until clear",
			"ask synthetic if known: may be disperse-dyed",
			"ask finish if known: superwash, moth proofing and softener leave something on the yarn",
			"ask odour if known: a finish can smell",
		},
	},
}
