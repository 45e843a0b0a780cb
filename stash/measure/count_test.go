package measure_test

import (
	"encoding/json"
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"

	"endsmeet/stash/measure"
)

func TestParseCountKeepsWhatWasWritten(t *testing.T) {
	for _, row := range []struct {
		in     string
		base   measure.Base
		single float64
		plies  int
		source measure.Source
	}{
		{"8/2 Ne", measure.BaseNe, 8, 2, measure.KnownCount},
		{"Ne 2/8", measure.BaseNe, 8, 2, measure.KnownCount},
		{"8/2Ne", measure.BaseNe, 8, 2, measure.KnownCount},
		{"8.5/2 ne", measure.BaseNe, 8.5, 2, measure.KnownCount},
		{"2/8,5 nec", measure.BaseNe, 8.5, 2, measure.KnownCount},
		{"cotton count 8/4", measure.BaseNe, 8, 4, measure.KnownCount},
		{"2/12 worsted", measure.BaseNeW, 12, 2, measure.KnownCount},
		{"8/5 lea", measure.BaseLea, 8, 5, measure.KnownCount},
		{"16/1 lea", measure.BaseLea, 16, 1, measure.KnownCount},
		{"Ne 3 x2", measure.BaseNe, 3, 2, measure.KnownCount},
		{"2 × 3 Ne", measure.BaseNe, 2, 3, measure.KnownCount},
		{"34x2 tex", measure.BaseTex, 34, 2, measure.KnownCount},
		{"34 tex x 2", measure.BaseTex, 34, 2, measure.KnownCount},
		{"R 69.3 tex", measure.BaseTex, 69.3, 0, measure.KnownCount},
		{"R 40 tex/2", measure.BaseTex, 40, 2, measure.KnownCount},
		{"6 run", measure.BaseRun, 6, 0, measure.KnownCount},
		{"20/2 silkNe", measure.BaseSilk, 20, 2, measure.KnownCount},
		{"6 Yorkshire skein", measure.BaseSkein, 6, 0, measure.KnownCount},
		{"1450 yd/lb", measure.BaseYdPerLb, 1450, 0, measure.KnownCount},
		{"1450 yards per pound", measure.BaseYdPerLb, 1450, 0, measure.KnownCount},
		{"400m/100g", measure.BaseMPer100g, 400, 0, measure.Label},
		{"label 420 m / 100 g", measure.BaseMPer100g, 420, 0, measure.Label},
		{"125m/50g", measure.BaseLabel, 2.5, 0, measure.Label},
		{"10 m = 4.9 g", measure.BaseLabel, 10 / 4.9, 0, measure.WeighedSample},
		{"4.9 g per 10 m", measure.BaseLabel, 10 / 4.9, 0, measure.WeighedSample},
		{"label 10 m = 4.9 g", measure.BaseLabel, 10 / 4.9, 0, measure.Label},
		{"40 m / 31.2 g", measure.BaseLabel, 40 / 31.2, 0, measure.WeighedSample},
		{"9.9 m/g", measure.BaseLabel, 9.9, 0, measure.Label},
		{"50 g = 125 m", measure.BaseLabel, 2.5, 0, measure.Label},
		{"12 wpi", measure.BaseWraps, 12, 0, measure.Wraps},
		{"12 wraps per inch", measure.BaseWraps, 12, 0, measure.Wraps},
		{"balance 1480 yd/lb", measure.BaseYdPerLb, 1480, 0, measure.Balance},
		{"handspun 1480 yd/lb", measure.BaseYdPerLb, 1480, 0, measure.Handspun},
		{"guess: 3000 m/kg", measure.BaseMPerKg, 3000, 0, measure.Guess},
		{"60+40 Ne", measure.BaseNe, 24, 2, measure.KnownCount},
		{"60/2 Ne + 30", measure.BaseNe, 15, 3, measure.KnownCount},
	} {
		r, err := measure.ParseCount(" " + row.in + " ")
		got := []any{r.Base, r.Single, r.Plies, r.Source, r.Written, r.Doubt}
		if want := []any{row.base, row.single, row.plies, row.source, row.in,
			row.source.StartingDoubt()}; err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("%q reads %v, %v, want %v", row.in, got, err, want)
		}
	}
}

func TestResultantCountIsNotMultiplied(t *testing.T) {
	for in, want := range map[string]measure.Count{"R 69.3 tex": 69_300, "R69.3tex": 69_300,
		"R 40/2 tex": 40_000, "40 tex x 2": 80_000} {
		if r, err := measure.ParseCount(in); err != nil || r.Count != want {
			t.Errorf("%q is %v, %v, want %v", in, r.Count, err, want)
		}
	}
}

func TestParseCountRefuses(t *testing.T) {
	refuse(t, func(s string) error { _, err := measure.ParseCount(s); return err }, []refused{
		{"", "is empty"}, {"label", "is empty"}, {"Ne", "has no number where"},
		{"8/2 wibble", `unknown count base "wibble"`},
		{"8/0 Ne", "a count of zero"}, {"300/96 den", "plies or filaments"},
		{"8.5/2.5 Ne", "neither number is a number of plies"},
		{"0.00001 tex", "no yarn that can be woven"}, {"1000000 tex", "no yarn that can be woven"},
		{"125m/50cm", "is a length, a weight is wanted"},
		{"100/50g", "is a weight, a yarn count is wanted"}, {"0 m / 50 g", "no length or no weight"},
		{"8/2 Ne x2", "plies twice"},
		{"8 x0 Ne", "from 1 to 1000"}, {"8 x99999999999999999999 Ne", "from 1 to 1000"},
		{"8+ Ne", "has no number where"}, {"8++4 Ne", "next to the +"}, {"+++++ Ne", "next to the +"},
		{"-8/2 Ne", "is negative"},
		{strings.Repeat("8+", 200) + "8 Ne", "too long"},
		{"60 + 40 Ne + 20 Nm", "one part has no base"},
		{"60 Ne + 20 Nm + 40", "one part has no base"}, {"8/2 4 Ne", "cannot read"},
	})
}

// 3/2 Ne: 840·3/2 = 1260 yd/lb size first, 840·2/3 = 560 yd/lb folds first.
func TestTwoSmallNumbersAskForTheOrder(t *testing.T) {
	_, err := measure.ParseCount("3/2 Ne")
	var need *measure.OrderNeeded
	if !errors.As(err, &need) {
		t.Fatalf("gives %v", err)
	}
	for _, want := range []string{"Ne 3 x2 is", "1260 yd/lb", "Ne 2 x3 is", "560 yd/lb",
		"size first"} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%q lacks %q", err, want)
		}
	}
	readBack(t, need.Alternatives)
	for _, in := range []string{"2/3 Ne", "4/3 Nm", "Ne 6/4", "12/9 Ne", "4/2 lea"} {
		if _, err := measure.ParseCount(in); !errors.As(err, &need) {
			t.Errorf("%q gives %v, want both orders", in, err)
		}
	}
	for _, in := range []string{"2/2 Ne", "5/2 Ne", "12/6 Ne", "3/1 Ne", "1/3 Ne"} {
		if _, err := measure.ParseCount(in); err != nil {
			t.Errorf("%q: %v", in, err)
		}
	}
}

func TestErrorsWithoutAlternativesStillSayWhatToWrite(t *testing.T) {
	for want, err := range map[string]error{
		"like 8/2 Ne, Nm 28/2": &measure.BaseNeeded{Written: "?"},
		"like Ne 3 x2":         &measure.OrderNeeded{Written: "3/2 Ne"},
	} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%q lacks %q", err, want)
		}
	}
}

// readBack checks that every alternative is written as ParseCount reads it.
func readBack(t *testing.T, readings []measure.Reading) {
	t.Helper()
	if len(readings) == 0 {
		t.Error("there are no alternatives")
	}
	for _, r := range readings {
		if got, err := measure.ParseCount(r.Written); err != nil || got != r {
			t.Errorf("%q reads %+v, %v, want %+v", r.Written, got, err, r)
		}
	}
}

func TestACountWithoutBaseIsNeverGuessed(t *testing.T) {
	for in, written := range map[string]string{
		"8/2": "8/2", "22/2": "22/2", "1450": "1450", "3/2": "3/2", "8/2 cotton": "8/2",
		"wool 2/8": "2/8", "60+40": "60+40", "34 x 2": "34 x 2", "label 34": "34",
	} {
		_, err := measure.ParseCount(in)
		var need *measure.BaseNeeded
		if !errors.As(err, &need) || need.Written != written {
			t.Errorf("%q gives %v, want to be asked about %q", in, err, written)
			continue
		}
		readBack(t, need.Alternatives)
	}
}

// 22/2: 6652 m/kg as lea, 18627 as Ne (count traps of the practice notes).
func TestTheCustomaryBaseIsProposedFirst(t *testing.T) {
	_, err := measure.ParseCount("22/2")
	var need *measure.BaseNeeded
	if !errors.As(err, &need) {
		t.Fatalf("gives %v", err)
	}
	lines := strings.Split(strings.TrimSpace(need.WithFibreBase(measure.BaseLea, func(measure.Reading) bool { return false })), "\n")
	if len(lines) != len(need.Alternatives) || !strings.HasPrefix(lines[0], "22/2 lea") ||
		!strings.Contains(lines[0], "6652 m/kg") ||
		!strings.Contains(lines[0], "customary") || !strings.Contains(lines[1], "18627 m/kg") {
		t.Errorf("shows\n%s", strings.Join(lines, "\n"))
	}
	if other := need.WithFibreBase(measure.BaseTex, func(measure.Reading) bool { return false }); strings.Contains(other, "customary") {
		t.Errorf("a base that is not offered shows\n%s", other)
	}
}

func TestEveryBaseHasItsWordsAndReadsThem(t *testing.T) {
	bases := measure.Bases()
	if len(bases) < 16 {
		t.Fatalf("only %d bases", len(bases))
	}
	for _, b := range bases {
		var back measure.Base
		if err := back.UnmarshalText([]byte(strings.ToUpper(b.String()))); err != nil ||
			back != b || b.Name() == "" || b.Definition() == "" {
			t.Errorf("%v reads %v, %v; name %q, definition %q", b, back, err, b.Name(),
				b.Definition())
		}
	}
	var b measure.Base
	if err := b.UnmarshalText([]byte("furlongs")); err == nil {
		t.Error("an unknown base is read")
	}
	if b := measure.Base(99); b.String() != "unknown" || b.Name() != "" ||
		measure.Count(1000).In(b) != 0 {
		t.Errorf("a base out of range is %v", b)
	}
}

func TestReadingRoundTripsThroughJSON(t *testing.T) {
	for _, in := range []string{"8/2 Ne", "label 125m/50g", "12 wpi", "balance 1480 yd/lb"} {
		r, _ := measure.ParseCount(in)
		text, err := json.Marshal(r)
		var back measure.Reading
		if err == nil {
			err = json.Unmarshal(text, &back)
		}
		if err != nil || back != r {
			t.Errorf("%s reads %+v, %v", text, back, err)
		}
	}
}

// Figures: common practice, no source; the guess from memory.
func TestStartingDoubts(t *testing.T) {
	want := map[measure.Source]measure.Ratio{
		measure.KnownCount: 30_000, measure.Label: 50_000, measure.WeighedSample: 50_000,
		measure.Balance: 80_000, measure.Handspun: 120_000,
		measure.Wraps: 300_000, measure.Guess: 400_000, measure.SourceUnknown: 400_000,
		measure.Source(99): 400_000,
	}
	own := measure.Doubts{measure.Label: 20_000}
	for s, doubt := range want {
		if got := s.StartingDoubt(); got != doubt {
			t.Errorf("%v starts at %v, want %v", s, got, doubt)
		}
		if s == measure.Label {
			doubt = 20_000
		}
		if got := own.Of(s); got != doubt {
			t.Errorf("with a table of one's own %v is %v, want %v", s, got, doubt)
		}
	}
}

func TestDoubtsAreWrittenByWord(t *testing.T) {
	own := measure.Doubts{measure.WeighedSample: 20_000, measure.Balance: 60_000}
	text, err := json.Marshal(own)
	if err != nil || string(text) != `{"weighed sample":20000,"yarn balance":60000}` {
		t.Fatalf("writes %s, %v", text, err)
	}
	var back measure.Doubts
	if err := json.Unmarshal(text, &back); err != nil || !reflect.DeepEqual(back, own) {
		t.Errorf("reads %v, %v", back, err)
	}
	if err := json.Unmarshal([]byte(`{"hearsay":1}`), &back); err == nil ||
		!strings.Contains(err.Error(), "weighed sample") {
		t.Errorf("an unknown source gives %v", err)
	}
}

func TestSourcesReadTheirWords(t *testing.T) {
	for _, s := range append(measure.Sources(), measure.SourceUnknown) {
		var back measure.Source
		if err := back.UnmarshalText([]byte(s.String())); err != nil || back != s {
			t.Errorf("%v reads %v, %v", s, back, err)
		}
		text, _ := s.MarshalText()
		if err := back.UnmarshalText(text); err != nil || back != s {
			t.Errorf("%q reads %v, %v", text, back, err)
		}
	}
}

// TestFourTimesTheMassAtHalfTheWraps is the relation of diameter and count: a thread
// twice as thick weighs four times as much.
func TestFourTimesTheMassAtHalfTheWraps(t *testing.T) {
	thin, err := measure.ParseCount("16 wpi")
	if err != nil {
		t.Fatal(err)
	}
	thick, err := measure.ParseCount("8 wpi")
	if err != nil {
		t.Fatal(err)
	}
	if ratio := float64(thick.Count) / float64(thin.Count); math.Abs(ratio-4) > 1e-5 {
		t.Errorf("half the wraps weigh %.4f times as much", ratio)
	}
	if got := thick.Count.In(measure.BaseWraps); math.Abs(got-8) > 1e-5 {
		t.Errorf("8 wraps come back as %g", got)
	}
	if twelve, _ := measure.ParseCount("12 wpi"); math.Abs(twelve.Count.In(measure.BaseYdPerLb)-1094.4) > 0.1 {
		t.Errorf("12 wraps are %.1f yd/lb", twelve.Count.In(measure.BaseYdPerLb))
	}
}
