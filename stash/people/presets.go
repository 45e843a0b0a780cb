package people

// gatheredOn is the day on which the presets' sources were put together.
const gatheredOn = "2026-11-25"

// Sources of the presets, by kind. Donor rules differ from house to house and
// contradict each other, so a preset is where a talk begins, not where it ends.
const (
	donorRules = "conditions of several charities and hospitals for gifts, which disagree, in our words"
	wardRules  = donorRules + "; the ward's own sheet comes first"
	skinSource = "international wool body's page on skin: mean above 22 um or 5% of fibres above 30 um prickles; makers' reports"
)

// presets are the usual cases. What is seldom recorded is asked for "if known"; fibre, where it
// matters, so that unknown fibre comes out as unknown and does not pass. Bed and body
// linen that goes to a ward must bear the ward's laundry: 60 C is common practice, no
// source; ask.
var presets = []Preset{
	{
		Name: "respiratory", Also: []string{"asthma", "copd", "lungs"},
		About: "lungs that react: shedding fibre, dust, scents",
		Grade: "P M", Source: "medical abstracts and makers' reports on shedding fibre, dust and scents", Dated: gatheredOn,
		Rules: []string{
			"against shedding 2: loose fibre is breathed in",
			"ask shedding 1 if known: even a little loose fibre",
			"ask mohair: often sheds; one person reacted strongly to a blend with 25%",
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
			"against fringe: a child can wind it round a finger or toe, or swallow it",
			"against ties: no cord where a child's neck is",
			"against holes if known: a child's finger goes through",
			"against long ends if known: they wind round a child's finger",
			"against loops if known: a small finger catches in them",
			"against shedding 2: a child breathes and swallows what comes off",
			"against metal: it scratches",
			"against bleeds if known: a child sucks on it",
			"ask hair: ask the parents whether wool is welcome",
		},
	},
	{
		Name: "newborn unit", Also: []string{"newborn", "newborn ward", "newborn care", "nicu"},
		About: "newborn intensive care; many wards take no blankets at all: ask first",
		Grade: "C", Source: wardRules, Dated: gatheredOn,
		Rules: []string{
			"against hair: such units mostly refuse animal hair for newborns",
			"ask only acrylic, cotton if known: these two are what units take most often; ask theirs",
			"survives 40 C normal: the unit washes it hot; ask how hot",
			"against long ends if known: they get into lines and sensors",
			"against loops if known: they get into lines and sensors",
			"against fringe: it gets into lines and sensors",
			"against ties: they get into lines and sensors",
			"against holes if known: a line can slip through",
			"against shedding 1: a newborn breathes what comes off",
			"against thick 500 tex: too much weight on a small body",
			"against bleeds if known: a newborn sucks on it, and a damp cheek takes the colour",
			"against perished if known: weak yarn breaks into pieces",
			"against odour if known: smoke and scent stay in the cloth",
			"against latex: rubber is kept out of many such places",
			"against possible latex: rubber is kept out of many such places",
		},
	},
	{
		Name: "ward", Also: []string{"infusion ward", "hospital"},
		About: "a hospital ward or infusion room: hot laundry, weak lungs, tubing",
		Grade: "C", Source: wardRules, Dated: gatheredOn,
		Rules: []string{
			"survives 60 C normal: hospital laundries run hot; ask how hot",
			"against shedding 2: it comes off on people whose lungs are weak",
			"ask shedding 1 if known: even a little may be too much there",
			"ask hair if known: a ward may refuse animal hair",
			"ask bleeds if known: hot laundry carries the colour on",
			"against odour if known: scent, smoke and pets trouble the sick",
			"against loops if known: a drip line hooks into them",
			"against long ends if known: a drip line winds into them",
			"ask fringe if known: a drip line winds into it",
			"against latex: somebody there may react",
			"against possible latex: somebody there may react",
		},
	},
	{
		Name: "head covering", Also: []string{"head covering during treatment", "cap",
			"head scarf"},
		About: "what is worn on a head that lost its hair",
		Grade: "C", Source: donorRules, Dated: gatheredOn,
		Rules: []string{
			"against wool: mostly unwelcome on a bare scalp; where it is taken, say so on the card",
			"ask hair if known: other animal hair may be unwelcome as well",
			"against coarse if known: a bare scalp feels every coarse fibre",
			"against metal: it scratches",
			"against holes if known: openwork does not cover",
			"ask bleeds if known: sweat carries the colour onto the skin",
			"against latex: elastic would lie on the skin",
			"against possible latex: elastic would lie on the skin",
			"against odour if known: treatment makes smells hard to bear",
			"against thick 500 tex: seams and knots press under a hat",
			"survives 30 C gentle: it is washed often",
		},
	},
	{
		Name: "children's blanket", Also: []string{"charity blanket", "blanket"},
		About: "blankets that a charity gives to children",
		Grade: "C", Source: donorRules, Dated: gatheredOn,
		Rules: []string{
			"against fringe: a child pulls it out",
			"against wool: nobody knows which child reacts to it",
			"against thick 500 tex: heavy to lie under, and open between the picks",
			"against long ends if known: a child pulls them out and swallows them",
			"ask bleeds if known: a child chews on it",
			"against holes if known: a child's finger goes through",
			"against ties 25 mm: a knot needs no longer end, and a child finds a longer one",
			"against odour if known: wash it without scent before it goes",
		},
	},
	{
		Name: "dementia ward", Also: []string{"dementia"},
		About: "restless hands: tug at every join, leave no pin",
		Grade: "C", Source: donorRules, Dated: gatheredOn,
		Rules: []string{
			"against long ends if known: restless hands pull them out, and the mouth follows",
			"against fringe: restless hands pull it out",
			"against shedding 2: what comes off goes into the mouth",
			"ask bleeds if known: what is chewed gives off its colour",
			"ask loops if known: tug at each: none may give",
			"against perished if known: it gives where hands tug",
		},
	},
	{
		Name: "heat", Also: []string{"fire", "welding"},
		About: "worn where there may be fire: wool and nothing that melts; test a scrap over a flame, outdoors, held with tongs",
		Grade: "C", Source: donorRules, Dated: gatheredOn,
		Rules: []string{
			"only wool: wool chars where other fibres melt or burn",
			"against melts: what melts sticks to the skin and goes on burning it",
		},
	},
	{
		Name: "shawl group", Also: []string{"shawl"},
		About: "shawls that are given to people one does not know",
		Grade: "C", Source: donorRules, Dated: gatheredOn,
		Rules: []string{
			"ask survives 30 C gentle tumble if known: who gets it washes it as it comes",
			"ask hair if known: nobody knows what a stranger bears",
			"ask odour if known: wash it before it goes",
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
		Grade: "M P", Source: "patch-test clinics: 0.5 to 3.7% of those tested, not of everybody (Wakelin et al. 2001; N. American group 1994-2006; Denmark 2004-15; NE Italy 1997-2021); makers' reports", Dated: gatheredOn,
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
