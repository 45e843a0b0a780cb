package main

import (
	"strings"

	"endsmeet/cmd/endsmeet/show"
)

// teaching are the topics that explain how the program reckons, each as paragraphs;
// a line that begins with two spaces is a command or a row and stays as it is.
func teaching(lines ...string) func() string {
	return func() string {
		var b strings.Builder
		for i, line := range lines {
			switch {
			case strings.HasPrefix(line, "  "):
				b.WriteString(line + "\n")
			case i > 0 && !strings.HasPrefix(lines[i-1], "  "):
				b.WriteString("\n" + show.Wrap(line, "", show.PageWidth))
			default:
				b.WriteString(show.Wrap(line, "", show.PageWidth))
			}
		}
		return b.String()
	}
}

var settPage = teaching(
	"The sett is how many ends there are in a centimetre or an inch of the reed, before the web draws in. Write 6/cm or 15epi; picks likewise, 6/cm or 15ppi, counted on the loom under tension.",
	"Where a project says no sett, one is proposed: the diameter of the yarn follows from its count and its kind (Ashenhurst), and a weave with many intersections wants its ends further apart. The page of a plan says what a figure rests on. Sample first: your own cloth knows better.",
	"The reed: `plan` says how wide the warp is in it, how many ends go into a dent, and how many dents that takes. A web is narrower at the fell than in the reed by the draw-in, and narrower again after washing by the shrinkage.",
	"  endsmeet project set 'moss scarf' sett=8/cm picks=7/cm",
	"  endsmeet plan 'moss scarf' --sett 7/cm",
	"See `endsmeet help losses`, `endsmeet help sources`.")

var lossPage = teaching(
	"Between the yarn and the finished cloth something is lost at every step. Losses are divided by and not added: 10 cm finished at 20% loss need 12.5 cm.",
	"Take-up is the extra length that bending needs: of the warp by the picks, of the weft by the ends.",
	"Draw-in is how much narrower the web is at the fell than in the reed. Shrinkage is what wet finishing takes, along and across.",
	"Stretch is how much longer the web is under tension than off the loom. Part of it is the yarn itself that is longer (its strain), part is bending that comes back. They act differently: what stretches leaves warp over when the tape says enough, what comes back does not. That is why `plan` gives the tape to weave to.",
	"Loom waste is warp that cannot be woven, at the front and at the back. A fringe is cut from it where it can be.",
	"Each figure has a mean and a spread. What a project states holds; else it is learned from your finished pieces, drawn towards the handbook while they are few. plan PROJECT --sums sets what your pieces measured beside the handbook's; for a yarn without a project, add one of it in the size you would sample. Measure when a piece comes off, and the next plan is surer:",
	"  endsmeet finish PIECE --tape 196cm --off-loom 184cm --length 166cm",
	"  endsmeet plan PROJECT --sums",
	"A measure that is far from what was expected is asked about and not learned from until you say so: `endsmeet finish PIECE --learn yes`.")

var chancePage = teaching(
	"Nothing on a shelf is known exactly: the scale reads to a gram, a label is a few per cent off, a tare was assumed, wool takes up water from the air. And no piece is woven like the last. The answer to \"is it enough?\" is therefore a chance, computed from all of it together.",
	"The ± after a length is one standard uncertainty: about two chances in three that the true length is within it (JCGM 100:2008).",
	"A size to rely on is one that 19 of 20 pieces reach. At an even chance half of them do not: do not warp for it.",
	"Ends are whole. A ball of 4.8 m gives two ends of 2.4 m and nothing more, and sixty such balls are not a cone of 288 m.",
	"Balls of one yarn are short together: if the count on the label is wrong, it is wrong for all of them. So ten balls are hardly surer than one, and weighing a measured length of it helps more than weighing another ball. Where a measurement would help most, the answer says which.",
	"  endsmeet set YARN 'count=7039 m/kg, weighed sample'",
	"  endsmeet another PIECE --sums")

var peoplePage = teaching(
	"A person, or a place such as a ward, has rules. A rule says what must not reach them, or what to ask about first:",
	"  endsmeet person add Wenna --rule 'no mohair' --rule 'ask shedding 1'",
	"  endsmeet person add 'Ward 4' --preset respiratory",
	"There are four answers: breaks a rule; not recorded; ask first; no rule broken, as far as recorded. What is not recorded may be anything, and no rule passes on it, unless the rule ends with \"if known\".",
	"Every word next to a fibre is read too: in brackets, in the name, in notes. \"cotton (rubber core)\" is a question to whom latex is trouble.",
	"The best answer is that no rule is broken, as far as recorded. It is not a promise. Ask the person, their clinician or the ward, and keep to local rules; nothing here is advice or a certificate.",
	"What you record of people is kept apart: it stays out of exports unless you ask for it, and on this machine unless `endsmeet config people.sync=yes`.",
	"`endsmeet person tests` lists what a rule can ask about, `endsmeet person presets` the sets of rules.")

var syncPage = teaching(
	"Several machines keep one stash through a shared place: a folder that some service or a stick carries, or a bucket. What is there is encrypted; the stash itself must never be in a shared folder.",
	"  endsmeet sync setup FOLDER      on the first machine",
	"  endsmeet sync join FOLDER       on each of the others",
	"  endsmeet sync                   whenever you like",
	"The first asks for a pass-phrase, which the others need too. Keep the code that `endsmeet sync devices code` prints in a safe place.",
	"Each machine records by itself and they exchange what happened. Two that say different things of one yarn are asked once: `endsmeet sync settle` shows both, and you choose.",
	"`endsmeet sync status` shows who takes part and what waits; `endsmeet sync check --read` reads everything in the shared place and says whether it is whole.")

var sheetPage = teaching(
	"A spreadsheet of your yarn is read as it is: .csv, .xlsx or .ods, with one row for each yarn or each ball. Headings are understood in many words; the answer says which column was taken for what.",
	"  endsmeet import FILE --dry-run",
	"  endsmeet import FILE",
	"Where a column was not understood, say which field it is: --map 'HEADING=FIELD'. --save-mapping NAME keeps that for the next time.",
	"A weight needs its unit, in the cell or in the heading (gross_g). A count needs its base: 8/2 alone is asked about. What cannot be read is refused with its line and column, and nothing is recorded by halves.",
	"A sheet says only what it says: an empty cell is not known, a column that is not there is silent. What comes again changes nothing; what a sheet says otherwise is shown first and recorded with --correct.",
	"To take the stash out: `endsmeet export --csv FOLDER`, `endsmeet export --xlsx FILE`. What was exported can be read back.",
	"See `endsmeet help counts`, `endsmeet help fibres`.")

// sourcesPage names where formulas and figures are from. What is common practice
// without a source says so where it is used.
func sourcesPage() string {
	var b strings.Builder
	b.WriteString(show.Wrap("Where formulas and figures are from. What has no source says \"common practice, no source\" where it is used.", "", show.PageWidth) + "\n")
	for _, s := range []struct{ who, what string }{
		{"ASTM D2260", "Tables of conversion factors and equivalent yarn numbers (2003, approved again 2013): the bases of counts."},
		{"Ashenhurst", "The rule of the diameter of a yarn, as quoted after Watson: how close a yarn can be set."},
		{"Peirce", "The geometry of cloth structure, Journal of the Textile Institute 28, 1937: take-up of plain weaves."},
		{"Taylor", "Cotton Weaving and Designing, sixth edition, 1909: take-up, counts of plied yarn."},
		{"Morton and Hearle", "Physical Properties of Textile Fibres, 2008, as cited: how much water fibres take up."},
		{"JCGM 100", "Guide to the expression of uncertainty in measurement, 2008: every ±."},
		{"Irwin; Hall", "Two papers on the sum of uniform values, Biometrika 1927: ends that are cut whole."},
		{"Camerini, Fratta and Maffioli",
			"On improving relaxation methods by modified gradient techniques, 1975: sharing a shelf over several projects."},
		{"ISO 2", "Designation of the direction of twist, 1973: S and Z."},
		{"Strang", "On killing insects by cold, 1992, as cited by the US National Park Service, Conserve O Gram 3/6, 1994: freezing yarn."},
		{"ASTM F1816", "Drawstrings on children's upper outerwear, 1997; with 16 CFR 1120: cautions on cords."},
	} {
		b.WriteString(entry(s.who, s.what))
	}
	return b.String()
}
