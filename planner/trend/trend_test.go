package trend

import (
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

var now = time.Date(2026, 11, 28, 12, 0, 0, 0, time.UTC)

// content reads a fibre text.
func content(t interface{ Fatal(...any) }, text string) fibre.Content {
	c, err := fibre.ParseContent(text)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// posting is one of a package on a day.
func posting(day string, delta stash.Account) stash.Posting {
	at, err := time.Parse(time.DateOnly, day)
	if err != nil {
		panic(err)
	}
	return stash.Posting{Event: stash.Event{Line: stash.Line{At: at}}, Delta: delta}
}

const kilo = 1000 * measure.Gram

func TestMonthsAddUpToWhatIsHeld(t *testing.T) {
	p := Package{
		Package: stash.Package{PackageFacts: stash.PackageFacts{Acquired: "2025-03"},
			Account: stash.Account{Held: 700 * measure.Gram}},
		Fibre: content(t, "cotton 60, linen 40"),
		Postings: []stash.Posting{
			posting("2026-01-05", stash.Account{Received: kilo, Held: kilo}),
			posting("2026-02-05",
				stash.Account{Used: 300 * measure.Gram, Held: -300 * measure.Gram}),
			posting("2026-02-07", stash.Account{Salvaged: 20 * measure.Gram, In: 20 * measure.Gram,
				Held: 20 * measure.Gram}),
			posting("2026-03-07", stash.Account{Unexplained: 20 * measure.Gram,
				Held: -20 * measure.Gram}),
			posting("2026-03-08", stash.Account{Out: 50 * measure.Gram, Held: -50 * measure.Gram}),
			posting("2026-03-08", stash.Account{In: 50 * measure.Gram, Held: 50 * measure.Gram}),
		},
	}
	r := Of(slices.Values([]Package{p}), now)
	if first := r.Months[0]; first.First.Format("2006-01") != "2025-03" || first.In != kilo {
		t.Errorf("it counts from %s", first.First)
	}
	if n := len(r.Months); n != 21 || r.Held() != 700*measure.Gram {
		t.Errorf("%d months, %d mg held", n, r.Held())
	}
	if feb := r.Months[11]; feb.Used != 280*measure.Gram || feb.Held != 720*measure.Gram {
		t.Errorf("February: %+v", feb)
	}
	if len(r.Fibres) != 2 || r.Fibres[0] != (Share{"cotton", 420 * measure.Gram, 168 * measure.Gram,
		12 * measure.Gram}) {
		t.Errorf("%+v", r.Fibres)
	}
	if len(r.Ages) != 1 || r.Ages[0].Name != "1 year" {
		t.Errorf("%+v", r.Ages)
	}
	if years := r.Years(); len(years) != 2 || years[1].Used != 280*measure.Gram ||
		years[1].Held != 700*measure.Gram {
		t.Errorf("%+v", years)
	}
}

func TestPaceSaysWhenTheShelfIsEmpty(t *testing.T) {
	months := func(in, used measure.Mass) []Month {
		out := []Month{{In: 10 * kilo, Held: 10 * kilo}}
		for range 12 {
			out = append(out, Month{In: in, Used: used, Held: out[len(out)-1].Held + in - used})
		}
		return append(out, Month{Held: out[len(out)-1].Held})
	}
	for _, row := range []struct {
		in, used measure.Mass
		words    string
	}{
		{0, 100 * measure.Gram, "This pace empties the shelf in about 7 years; without new yarn, in about 7 years."},
		{50 * measure.Gram, 250 * measure.Gram,
			"This pace empties the shelf in about 3 years; without new yarn, in about 3 years."},
		{200 * measure.Gram, 100 * measure.Gram,
			"More comes in than goes out: at this pace the shelf never empties. Without new yarn it would in about 9 years."},
		{100 * measure.Gram, 0, "Nothing left the shelf in the last 12 full months: at this pace it never empties."},
		{0, 800 * measure.Gram, "This pace empties the shelf in about a month; without new yarn, in about a month."},
	} {
		if got := paceOf(months(row.in, row.used)).Words(); got != row.words {
			t.Errorf("in %d, out %d: %s", row.in, row.used, got)
		}
	}
	if paceOf(months(0, kilo)[:5]).Known() || paceOf(nil).Known() {
		t.Error("a pace is known of four months")
	}
}

func TestWhatIsNotRecordedIsItsOwnShare(t *testing.T) {
	for text, want := range map[string]float64{"wool 80, unknown 20": 0.2, "wool?": 1, "wool": 0} {
		got := 0.0
		for _, p := range partsOf(content(t, text)) {
			if p.name == unsaid {
				got += p.share
			}
		}
		if d := got - want; d > 1e-9 || d < -1e-9 {
			t.Errorf("%s: %g not recorded, want %g", text, got, want)
		}
	}
	if parts := partsOf(nil); len(parts) != 1 || parts[0] != (part{unsaid, 1}) {
		t.Errorf("nothing recorded: %v", parts)
	}
}

// Whatever moved, months and fibres add up to what the packages hold.
func TestNothingIsLostOnTheWay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var all []Package
		var held measure.Mass
		for range rapid.IntRange(1, 6).Draw(t, "packages") {
			p := Package{Fibre: content(t,
				rapid.SampledFrom([]string{"wool", "cotton 60, linen 40",
					"wool 33, silk 33, nylon 34", "unknown"}).Draw(t, "fibre"))}
			for range rapid.IntRange(1, 6).Draw(t, "moves") {
				m := measure.Mass(rapid.IntRange(0, 900_000).Draw(t, "mg"))
				d := rapid.SampledFrom([]stash.Account{{Received: m, Held: m}, {Used: m, Held: -m},
					{Given: m, Held: -m}, {Unexplained: -m, Held: m},
					{Salvaged: m, In: m, Held: m}}).Draw(t, "delta")
				day := now.AddDate(0, 0, -rapid.IntRange(0, 3000).Draw(t, "days"))
				p.Postings = append(p.Postings, posting(day.Format(time.DateOnly), d))
				held += d.Held
			}
			all = append(all, p)
		}
		r := Of(slices.Values(all), now)
		if r.Held() != held {
			t.Fatalf("%d held, want %d", r.Held(), held)
		}
		var shares measure.Mass
		for _, s := range r.Fibres {
			shares += s.Held
		}
		if d := shares - held; d > 200 || d < -200 { // rounding of each posting
			t.Fatalf("fibres add up to %d, want %d", shares, held)
		}
	})
}
