package care

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"endsmeet/stash"
)

// Freezing is one published way of killing insects by cold.
type Freezing struct {
	Name   string `json:"name"`
	Cycles int    `json:"cycles"`
	Days   int    `json:"days"` // each cycle
	Source string `json:"source"`
	// Celsius is how cold it must be at least.
	Celsius int `json:"celsius"`
}

// The ways for a freezer that is colder than the usual one, and for one that is
// warmer.
var (
	deepFreezing = Freezing{"three days, twice", 2, 3,
		"a house museum's practice, 2017: 72 h at -29 °C, thaw, again 72 h", -29}
	mildFreezing = Freezing{"two weeks, twice", 2, 14,
		"for home freezers of -18 °C: two weeks, or two cycles (from memory); both are taken here", -18}
)

// FreezingAt is the way for a freezer that is so cold, 0 for one of which nobody
// measured that: the longest of those for its cold. It is false where a freezer is
// too warm to kill.
func FreezingAt(celsius int) (Freezing, bool) {
	switch {
	case celsius == 0:
		return Freezings()[0], true
	case celsius <= deepFreezing.Celsius:
		return deepFreezing, true
	case celsius <= usualCelsius:
		return Freezings()[0], true
	case celsius <= mildFreezing.Celsius:
		return mildFreezing, true
	}
	return Freezing{}, false
}

// TooWarm says that a freezer kills no insects, and what the least is that does.
func TooWarm(celsius int) string {
	return fmt.Sprintf("Your freezer, at %d °C, is too warm to kill insects: %d °C is the least, for %s.",
		celsius, mildFreezing.Celsius, mildFreezing.Name)
}

// usualCelsius is how cold most sources want it.
const usualCelsius = -20

// Freezings lists the ways at usualCelsius, in a sealed bag that stays shut until it
// has thawed. The sources disagree, so all are here, the longest first.
func Freezings() []Freezing {
	return []Freezing{
		{"a week, twice", 2, 7, "Canadian government conservation text (second hand): 1 week at -20 °C, thaw, repeat", usualCelsius},
		{"ten days", 1, 10, "US National Park Service, Conserve O Gram 3/6, 1994, citing Strang 1992: 6 to 10 days at -20 °C", usualCelsius},
		{"a week", 1, 7, "textile museum care leaflet: at least 1 week at -20 to -25 °C", usualCelsius},
		{"two days, twice", 2, 2,
			"US National Park Service, Conserve O Gram 3/6, 1994: or two cycles of 48 h", usualCelsius},
	}
}

// Sources are where the way comes from, and where several were to choose from what
// each of them says.
func (f Freezing) Sources() []string {
	if f.Celsius != usualCelsius {
		return []string{f.Source}
	}
	var all []string
	for _, other := range Freezings() {
		all = append(all, other.Source)
	}
	return all
}

// Note says how it is done, how cold it must be, and what is not sure of it.
func (f Freezing) Note() string {
	choice := "Sources disagree on how long and how cold: this is for a freezer that you measured; " +
		"most give times for -20 °C. "
	if f.Celsius == usualCelsius {
		choice = "Sources disagree on how long: 7 days once, 7 days twice, 6 to 10 days, or twice 48 hours; the longest is taken here. "
	}
	return fmt.Sprintf("Seal it in a polyethylene bag, %d °C or colder, and let it thaw shut. ", f.Celsius) + choice +
		fmt.Sprintf("A home freezer that is frost-free or warmer than %d °C may not do it: measure it. ", f.Celsius) +
		"Then keep it bagged for a month and look again (museum practice)."
}

// Days of thawing between and after the cycles, and of watching in the bag
// ("keep bagged a month and look again", museum practice).
const (
	thawDays  = 1
	watchDays = 30
)

// Stage is one stretch of a quarantine, from a day up to another.
type Stage struct {
	What  string `json:"what"`
	From  string `json:"from"`
	Until string `json:"until"`
}

// days is how long the way takes in the freezer and thawing between.
func (f Freezing) days() int { return f.Cycles*f.Days + (f.Cycles-1)*thawDays }

// TooShort says that yarn which came out of the freezer was not in it as long as the way
// takes; empty where it may have been, or did not come out since the quarantine began.
func (f Freezing) TooShort(since, out string) string {
	begun, err := time.Parse(time.DateOnly, since)
	came, dated := stash.DayOf(out)
	days := int(came.Sub(begun).Hours() / 24)
	if err != nil || !dated || days < 0 || days >= f.days() {
		return ""
	}
	return fmt.Sprintf("It was in the freezer for %d days at most, from %s to %s; %s, takes %d: freeze it again, unless it was frozen before.",
		days, since, out, f.Name, f.days())
}

// Against is the one schedule against insects of a package that is kept apart because of
// them: the way for a freezer that is so cold, and what it comes to. It is false where the
// package is not, or the freezer is too warm.
func Against(p stash.Package, freezer int) (Freezing, stash.Quarantine, []Stage, bool) {
	way, cold := FreezingAt(freezer)
	if p.Quarantine == nil || !MayBeInsects(*p.Quarantine) || !cold {
		return way, stash.Quarantine{}, nil, false
	}
	q, stages, err := way.Plan(p.Quarantine.Since, p.Frozen)
	return way, q, stages, err == nil
}

// Plan gives the quarantine that begins on a day (2025-01-30) and its stages. Out is the
// day on which the yarn came out of the freezer, if it did since then: it is watched from
// then on. The error says what is wrong with the day or with the freezing.
func (f Freezing) Plan(since, out string) (stash.Quarantine, []Stage, error) {
	day, err := time.Parse(time.DateOnly, since)
	if err != nil {
		return stash.Quarantine{}, nil, fmt.Errorf("%.20q is not a day (write it as 2025-01-30)",
			since)
	}
	if f.Cycles < 1 || f.Days < 1 {
		return stash.Quarantine{}, nil, fmt.Errorf("a freezing of %d times %d days is none",
			f.Cycles, f.Days)
	}
	var stages []Stage
	next := func(what string, days int) {
		until := day.AddDate(0, 0, days)
		stages = append(stages, Stage{what, day.Format(time.DateOnly), until.Format(time.DateOnly)})
		day = until
	}
	came, frozen := stash.DayOf(out)
	if frozen = frozen && !came.Before(day); frozen {
		next("apart and in the freezer", int(came.Sub(day).Hours()/24))
		next("thawing, still sealed", thawDays)
	}
	for range f.Cycles {
		if frozen {
			break
		}
		next(fmt.Sprintf("in the freezer, sealed, %d °C or colder", f.Celsius), f.Days)
		next("thawing, still sealed", thawDays)
	}
	next("in its bag, away from the others; then look again", watchDays)
	return stash.Quarantine{Since: since, Until: day.Format(time.DateOnly),
		Reason: "insects: frozen " + f.Name}, stages, nil
}

// insectWords are the words for insects and for what they leave.
var insectWords = []string{"insect", "moth", "webbing", "beetle", "larva", "frass"}

// MayBeInsects says whether a quarantine may be for insects: it says so, or
// gives no reason. Mothballs are a smell.
func MayBeInsects(q stash.Quarantine) bool {
	reason := strings.ReplaceAll(strings.ToLower(q.Reason), "mothball", "")
	return strings.TrimSpace(q.Reason) == "" ||
		slices.ContainsFunc(insectWords, func(w string) bool { return strings.Contains(reason, w) })
}
