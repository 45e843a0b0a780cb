package main

import (
	"strings"

	"endsmeet/cmd/endsmeet/show"
)

// example is a command of real work and what it is for. It works as written on
// the stash of the demo, the examples of a page one after the other.
type example struct{ command, why string }

// examples stand on the pages of the commands.
var examples = map[string][]example{
	"receive": {
		{"receive 'Brackenlowe worsted' --net 250g --lot M4",
			"One more cone of a yarn you have, of another dye lot."},
		{"receive 'Ferrow tweed' --fibre wool --count '5/2 Nm' --gross 412g --tare 25g --form cone",
			"A new yarn, weighed on its cone."},
		{"receive 'Lathkill sock' --label '75% wool 25% nylon, 50 g / 210 m, lot 77' --net 50g --yes", "What the ball band says, typed off it."},
	},
	"weigh": {
		{"weigh Y01 398g", "What the scale shows, with the cone."},
		{"weigh Y05 160g --net", "The yarn alone, off its cone."},
		{"weigh Y04 91g --tare 12g", "With the empty cone weighed too."},
	},
	"use": {
		{"use Y01 40g", "A weight, for something that is no piece here."},
		{"use Y05 12m --note 'heading'", "A length: its count makes a weight of it."},
		{"use Y15-1 all", "To the last metre."},
	},
	"discard": {
		{"discard Y09 15g", "What the moths had."},
		{"discard Y12 all --note 'cut to pieces'", "All of it."},
		{"discard Y01 20m", "A length."},
	},
	"give": {
		{"give Y01 50g --to Wenna", "Half a ball for a friend."},
		{"give Y05 all --to Tamsel", "To somebody with rules: they are asked first."},
		{"give 'moss scarf 1' --to Tamsel", "A finished piece."},
	},
	"lend": {
		{"lend Y02 --to guild", "It stays yours, and is not available."},
		{"lend Y05 --to Tamsel --gross 190g", "Weighed as it goes out."},
		{"lend Y01 --to Wenna --note 'for her sampler'", "With a remark."},
	},
	"return": {
		{"lend Y02 --to guild", ""},
		{"return Y02 --gross 100g",
			"Back from the guild and weighed: what is missing counts as given."},
		{"lend Y05 --to guild", ""}, {"return Y05", "Back as it went, not weighed."},
		{"lend Y01 --to Wenna", ""},
		{"return Y01 --on 2026-03-01 --note 'sampler woven'", "With the day and a remark."},
	},
	"wind": {
		{"wind Y01 100g --tag P1", "A part of a cone onto a pirn of its own."},
		{"wind Y05 60m", "As much as a length takes."},
		{"wind Y13 40g --note 'for the border'", "With a remark."},
	},
	"set": {
		{"set Y03 'tare=28g assumed 12g'", "A tare that nobody weighed, with what it may be off."},
		{"set Y33 fibre='cotton 92, elastane 8'", "What was found out about a yarn."},
		{"set Y13 'reserve=60g for a commission'", "Promised yarn is kept out of every plan."},
	},
	"retire": {
		{"retire Y37 --leftover lost", "Not found any more."},
		{"retire Y12 --leftover discarded", "Not worth keeping account of."},
		{"use Y15-1 all", ""}, {"retire Y15-1", "Woven to the last metre."},
	},
	"undo": {
		{"weigh Y01 398g", ""}, {"use Y01 12g", ""},
		{"undo", "The last command, whatever it recorded."},
		{"undo", "Right after an undo: that undo, so that it counts again."},
		{"undo --last 2", "The last two."},
		{"use Y05 20g", ""}, {"undo --dry-run", "Look first what would be taken back."},
	},
	"redate": {
		{"use Y01 12g --on 2036-11-25 --as-read", ""},
		{"redate 2036-11-25 2026-02-28 --dry-run", "Look first what would change."},
		{"redate 2036-11-25 2026-02-28", "The clock was ten years ahead that day."},
		{"use Y01 2g --on 2036-11-26 --as-read", ""}, {"use Y02 2g --on 2036-11-27 --as-read", ""},
		{"redate 2036-11-26 2026-02-28 --through 2036-11-27 --machine this", "Two days of it."},
	},
	"sync": {
		{"sync setup ~/shelf --name studio", "On one machine, in an empty folder that both see."},
		{"sync", "And whenever something is new."},
		{"sync join ~/shelf --name attic", "On the other machine."}, {"sync", ""},
	},
	"stocktake": {
		{"stocktake A1 --from a1.txt", "A bin, from a list with a tag and a weight on each line."},
		{"stocktake B1 --from a1.txt --move", "What was found there is kept there from now on."},
		{"stocktake --from a1.txt --dry-run", "What the list would change, wherever the yarn is kept."},
	},
	"worth": {
		{"worth --by bin", "What each bin was bought for."},
		{"worth 'moss scarf 1'", "What a piece cost, with its loom waste."},
		{"worth Y13", "Which pieces an item went into."},
	},
	"year": {
		{"year", "What came in and went out this year."},
		{"year 2025 --csv year-2025.csv", "For a book-keeper, as a table."},
		{"year 2025 --journal year-2025.journal", "Or as a plain-text journal."},
	},
	"book": {
		{"book stash.html", "The whole stash as one page."},
		{"book stash.html --force", "The same file, written again later."},
		{"book mine.html --with-private", "With people and their rules, for yourself alone."},
	},
	"stickers": {
		{"stickers A1 a1.html", "For what is in a bin, to print."},
		{"stickers --fibre wool wool.html", "For all wool."},
		{"stickers --pieces pieces.html", "For finished pieces."},
	},
	"trend": {
		{"trend", "By year and fibre, and when this pace empties the shelf."},
		{"trend --months", "By month."},
		{"trend --json", "For a program that draws."},
	},
	"due": {
		{"due", "What falls due, what is overdue first."},
		{"due --days 7", "This week."},
		{"due --ics stash.ics", "For a calendar."},
	},
	"photo add": {
		{"photo add Y01 cone.png", "Of a cone: the book shows it."},
		{"photo add 'moss scarf 1' cone.png", "Of a finished piece: its card shows it."},
		{"photo add 'Ossentarn cotton' cone.png", "Of a yarn, with all its balls and cones."},
	},
	"photo list": {{"photo list", "Which photos there are."}},
	"photo save": {{"photo add Y01 cone.png", ""},
		{"photo save Y01 out.jpg", "The newest, into a file."},
		{"photo add 'moss scarf 1' cone.png", ""},
		{"photo save 'moss scarf 1' scarf.jpg", "That of a piece, to send to whom it is for."},
		{"photo add Y02 cone.png", ""},
		{"photo save Y02 slate.jpg", "That of another cone."}},
	"next": {{"next", "Which project to take up next."}},
	"unmarked": {
		{"unmarked", "Yarns that lack a fibre or a count."},
		{"unmarked Y31", "What to measure and test of one of them."},
		{"unmarked --json", "For a program."},
	},
	"like": {
		{"like Y01", "Other lots of it, and near matches."},
		{"like Y13 --top 3", "The nearest three."},
		{"like Y05", "What could stand in for a cotton that runs out."},
	},
	"list": {
		{"list --fibre wool --sort bin", "All wool, in the order of the shelf."},
		{"list --available 200g", "What there is enough of."},
		{"list moss", "With a word in tag, yarn, colour or lot."},
	},
	"show": {
		{"show Y13", "Everything about one cone, and what happened to it."},
		{"show 'Ossentarn cotton'", "A yarn, with all its balls and cones."},
		{"show 'moss scarf 1'", "A piece: planned against measured."},
	},
	"history": {
		{"history", "What happened lately."},
		{"history Y13", "What happened to one cone."},
		{"history 'moss scarf 1'", "The life of a piece."},
	},
	"check": {
		{"check", "That every gram is accounted for, and what to look at."},
		{"check --json", "The same, for a script."},
		{"check --stash stash.db", "Another stash than the usual."},
	},
	"project add": {
		{"project add runner --kind runner --width 35cm --length 120cm --sett 6/cm --picks 6/cm --structure plain --warp Y01 --weft Y05", "All that a plan needs."},
		{"project add 'mug rug' --kind 'mug rug' --width 13cm --length 18cm --warp Y06 --weft Y39",
			"Little said: the rest is proposed."},
		{"project add 'warm scarf' --width 28cm --length 165cm --sett 8/cm --picks 7/cm --structure '2/2 twill' --warp Y13 --weft Y05 --twisted 12cm --bunch 4 --for Tamsel", "With a twisted fringe, and for somebody."},
	},
	"project list": {{"project list", "Every project with its pieces."}},
	"project show": {
		{"project show 'moss scarf'", "What a project says."},
		{"project add runner --kind runner --width 35cm --length 120cm --warp Y01 --weft Y05", ""},
		{"project show runner", "And one of which little was said."},
		{"project show 'moss scarf' --json", "For a program."},
	},
	"project set": {
		{"project set 'moss scarf' length=150cm", "A shorter one."},
		{"project set 'moss scarf' weft=Y02", "Another weft."},
		{"project set 'moss scarf' fringe=unknown twisted=10cm",
			"A figure taken back, and another."},
	},
	"plan": {
		{"plan 'moss scarf' --length 120cm", "A shorter one, tried without changing the project."},
		{"plan 'moss scarf' --weft Y02 --sums", "Another weft, with every sum and source."},
		{"plan 'moss scarf' --warp Y01 --reserve", "Planned, and its yarn kept for it."},
	},
	"start": {
		{"start 'moss scarf' --warp Y01", "On the loom it goes; its yarn is promised."},
		{"start 'moss scarf' --warp Y02 --weft Y05 --width 15cm --length 50cm --wound 180cm",
			"Another size, and the warp as it was really wound."},
		{"project add sampler --width 15cm --length 40cm --sett 6/cm --picks 6/cm --structure plain --warp Y01 --weft Y05", ""},
		{"start sampler --note 'with the new reed'", "A piece of a project that says all, with a remark."},
	},
	"finish": {
		{"start 'moss scarf' --warp Y01", ""},
		{"finish 'moss scarf 2' --weighed Y01=300g --tape 192cm --length 164cm --width 27.5cm --thrums 9g", "Off the loom, with a scale and a tape."},
		{"finish 'moss scarf 1' --learn no", "Not to be learned from."},
		{"start 'moss scarf' --warp Y02 --weft Y05 --width 10cm --length 30cm", ""},
		{"finish 'moss scarf 3' --abandon 'too many broken ends'", "Cut off unfinished: what was wound and woven in counts as used; weigh it if you can."},
	},
	"another": {
		{"another 'moss scarf 1'", "Whether the leftover makes one more, and how big."},
		{"another 'moss scarf 1' --sums", "Every size, every sum and source."},
		{"another 'moss scarf 1' --svg sizes.svg", "Drawn."},
	},
	"loom": {
		{"start 'moss scarf' --warp Y01", ""},
		{"loom 'moss scarf 2'", "Until where to weave, and what the warp can still give."},
		{"loom 'moss scarf 2' --woven 60cm --relaxed 56cm",
			"The same web with the tension off: how this warp stretches."},
		{"loom 'moss scarf 2' --weft-left 60g --woven 80cm", "How fast the weft goes."},
	},
	"fits": {
		{"fits", "The best of every kind that the shelf makes."},
		{"fits scarf --for Tamsel", "Scarves that break no rule of somebody."},
		{"fits towel --using Y02 --sums", "Towels with one yarn, told in full."},
	},
	"share": {
		{"project add runner --kind runner --width 35cm --length 120cm --sett 6/cm --picks 6/cm --structure plain --warp Y01 --weft Y05", ""},
		{"share runner 'moss scarf'", "Both from one shelf, so that together they are worth most."},
		{"share --open", "What planned pieces lack, and what to buy."},
		{"share runner 'moss scarf' --must runner --worth piece",
			"The runner before all, and every piece counted alike."},
	},
	"idle": {
		{"idle", "What has perished, what is too little, what nobody touched for years."},
		{"idle --years 5", "Longer untouched."},
		{"idle --sums", "All of it."},
	},
	"person add": {
		{"person add Wenna --rule 'no mohair' --rule 'ask shedding 1'",
			"Somebody, with rules as you would say them."},
		{"person add 'Ward 4' --preset respiratory",
			"A place, with a set of rules for a common case."},
		{"person add Ludo --note 'likes blue'", "Nobody has asked yet: no rules."},
	},
	"person list": {{"person list", "Everybody, with the number of their rules."}},
	"person show": {
		{"person show Tamsel", "Their rules, and where each comes from."},
		{"person add Wenna --rule 'no mohair'", ""}, {"person show Wenna", "Of one rule."},
		{"person show Tamsel --json", "For a program."},
	},
	"person set": {
		{"person set Tamsel --rule 'latex-free'", "One rule more."},
		{"person set Tamsel 'note=asked in March'", "A remark."},
		{"person set Tamsel --rule 'no sequins' --rule 'no nylon'", "Two rules at once."},
	},
	"person presets": {
		{"person presets", "Which sets of rules there are."},
		{"person presets respiratory", "What one of them says."},
		{"person presets --json", "All of them, for a program."},
	},
	"person tests": {{"person tests", "What a rule can ask about."}},
	"suits": {
		{"suits Tamsel", "The whole shelf against the rules of somebody."},
		{"suits Tamsel Y18 Y19", "Two yarns, with the reasons."},
		{"suits Tamsel --answer against", "Only what breaks a rule."},
	},
	"together": {
		{"together Y13 Y15", "Whether a felting and a superwash wool agree. They do not."},
		{"together Y01 Y05", "Two cottons."},
		{"together Y01 Y05 --as warp,warp --stripe 4cm", "Side by side in stripes of one warp."},
	},
	"card": {
		{"card 'moss scarf 1'", "To read."},
		{"card 'moss scarf 1' --svg card.svg", "To print."},
		{"card 'moss scarf 1' --html card.html", "As a page."},
	},
	"import": {
		{"import stash40.csv --dry-run", "What a sheet would bring, and nothing recorded."},
		{"import stash40.csv", "The same sheet again adds nothing."},
		{"export --csv tables", ""}, {"import tables", "A folder that export wrote."},
	},
	"export": {
		{"export --csv tables", "Tables for a spreadsheet, in a new folder."},
		{"export --events stash.jsonl", "Everything, lossless."},
		{"export --journal -", "A plain-text journal, on the screen."},
	},
	"backup": {
		{"backup saved.db", "A copy that is checked."},
		{"backup lent.db --without-keys", "One that cannot reach the shared place of your machines."},
		{"backup before-move.db --json", "With what a script wants to know of it."},
	},
	"restore": {{"backup saved.db", ""},
		{"restore saved.db --stash again.db", "The copy as a stash."},
		{"list --stash again.db", "Look into it."},
		{"check --stash again.db", "That nothing of it is missing."}},
	"demo": {{"demo --in tryout", "In a folder of that name."}},
	"config": {
		{"config", "Every setting with its value."},
		{"config units=imperial", "Ounces, yards and inches."},
		{"config scale.step=1g loom.width=80cm",
			"What your scale reads to, and how wide your loom is."},
	},
	"completion": {
		{"completion bash", "For bash; the page says where to put it."},
		{"completion fish", "For fish."}, {"completion powershell", "For PowerShell."},
	},
}

// exampleLines are the examples on the page of a command: those without a reason
// only lead to the next.
func exampleLines(name string) string {
	var b strings.Builder
	for _, x := range examples[name] {
		b.WriteString(continued("endsmeet " + x.command))
		if x.why != "" {
			b.WriteString(show.Wrap(x.why, "      ", show.PageWidth))
		}
	}
	if b.Len() == 0 {
		return ""
	}
	return "\nexamples\n" + b.String()
}

// continued breaks a command that is too long for a page as a shell takes it.
func continued(command string) string {
	lines := strings.Split(strings.TrimRight(show.Wrap("$ "+command, "      ", show.PageWidth-2),
		"\n"), "\n")
	lines[0] = "  " + strings.TrimPrefix(strings.TrimSpace(lines[0]), "$ ")
	return strings.Join(lines, " \\\n") + "\n"
}
