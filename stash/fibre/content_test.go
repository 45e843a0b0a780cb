package fibre_test

import (
	"encoding/json"
	"errors"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

func TestParseContentReads(t *testing.T) {
	half := measure.Whole / 2
	for in, want := range map[string]fibre.Content{
		"cotton 60, linen 40": {{Fibre: "cotton", Share: 600_000},
			{Fibre: "linen", Share: 400_000}},
		"60% cotton 40% flax": {{Fibre: "cotton", Share: 600_000},
			{Fibre: "linen", Share: 400_000}},
		"60,5 % Cotton; 39.5% linen": {{Fibre: "cotton", Share: 605_000},
			{Fibre: "linen", Share: 395_000}},
		"cotton 50 and polyamide 50": {{Fibre: "cotton", Share: half},
			{Fibre: "nylon", Share: half}},
		"merino 50 silk 50": {{Fibre: "wool", Share: half, Note: "merino"},
			{Fibre: "silk", Share: half}},
		"cotton": {{Fibre: "cotton", Share: measure.Whole}},
		"wool (merino 18.5 um) 100": {{Fibre: "wool", Share: measure.Whole,
			DiameterNM: 18_500, Note: "merino"}},
		"wool 34 µm": {{Fibre: "wool", Share: measure.Whole,
			DiameterNM: 34_000}},
		"unknown":               {{Fibre: fibre.Unknown, Share: measure.Whole}},
		"narrowed to cellulose": {{Fibre: fibre.UnknownCellulose, Share: measure.Whole}},
		"cellulose?":            {{Fibre: fibre.UnknownCellulose, Share: measure.Whole}},
		"cotton?": {{Fibre: "cotton", Share: measure.Whole,
			Doubtful: true}},
		"probably cotton": {{Fibre: "cotton", Share: measure.Whole,
			Doubtful: true}},
		"cellulose, probably cotton": {{Fibre: fibre.UnknownCellulose, Share: measure.Whole,
			Note: "probably cotton"}},
		"wool ?, nylon ?": {{Fibre: "wool"}, {Fibre: "nylon"}},
		"cotton 100 (says seller)": {{Fibre: "cotton", Share: measure.Whole,
			Note: "says seller", Doubtful: true}},
		"cotton 50, polyester 50 (guess)": {{Fibre: "cotton", Share: half,
			Doubtful: true}, {Fibre: "polyester", Share: half, Note: "guess", Doubtful: true}},
		"cotton 50, polyester (guess) 50": {{Fibre: "cotton", Share: half},
			{Fibre: "polyester", Share: half, Note: "guess", Doubtful: true}},
	} {
		if got, err := fibre.ParseContent(in); err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("%q reads %#v, %v\nwant %#v", in, got, err, want)
		}
	}
}

func TestParseContentRefuses(t *testing.T) {
	for in, want := range map[string]string{
		"":                          "names no fibre",
		"cotton 60, linen 30":       "add up to 90%",
		"cotton 60, linen 60":       "add up to 120%",
		"cotton 60":                 "add up to 60%",
		"cotton 60, probably linen": "how much linen",
		"cotton, linen":             "how much cotton",
		"wool 100, nylon ?":         "leave nothing",
		"cotton 50, cotton 50":      `"cotton" is there twice`,
		"flax 50, linen 50":         `"linen" is there twice`,
		"cottn 100":                 "did you mean cotton?",
		"moonbeam":                  `no fibre is called "moonbeam"`,
		"cotton 0, linen 100":       "share of 0%",
		"wool 1200":                 `cannot read the share "1200"`,
		"(merino) 100":              "name is missing",
		"100":                       "name is missing",
		"wool (0.2 um)":             "is not believed",
		"wool (18 um, 20 um)":       "two diameters",
		"wool (":                    "cannot read",
		"cotton (" + strings.Repeat("soft ", 24) +
			"rubber core)": "has 131 characters, and 120 are kept",
		"\x1b[31mcotton": `"\x1b[31mcotton"`,
	} {
		c, err := fibre.ParseContent(in)
		var e *measure.Error
		if !errors.As(err, &e) || !strings.Contains(err.Error(), want) || c != nil {
			t.Errorf("%q gives %v, %v\nwant an error with %q", in, c, err, want)
		} else if strings.ContainsRune(err.Error(), 0x1b) {
			t.Errorf("%q lets a control character through", in)
		}
	}
}

// anyContent draws a content that ParseContent could have given.
func anyContent(t *rapid.T) fibre.Content {
	ids := rapid.SliceOfNDistinct(rapid.SampledFrom(fibre.All()), 1, 5,
		func(f fibre.Fibre) fibre.ID { return f.ID }).Draw(t, "fibres")
	left, c := measure.Whole, fibre.Content{}
	for i, f := range ids {
		share := left
		if i < len(ids)-1 {
			share = measure.Ratio(rapid.Int64Range(1, int64(left)-int64(len(ids)-i)).Draw(t,
				"share"))
		}
		left -= share
		p := fibre.Part{Fibre: f.ID, Share: share,
			DiameterNM: rapid.SampledFrom([]int64{0, 18_500, 34_000, 15_333}).Draw(t, "nm")}
		p.Doubtful = rapid.Bool().Draw(t, "doubt") && !f.Hazards.Has(fibre.UnknownHazard)
		p.Note = rapid.SampledFrom([]string{"", "superwash", "says seller", "kid, brushed"}).Draw(t,
			"note")
		p.Doubtful = (p.Doubtful || p.Note == "says seller") && !f.Hazards.Has(fibre.UnknownHazard)
		c = append(c, p)
	}
	return c
}

func TestContentRoundTripsThroughItsText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyContent(t)
		got, err := fibre.ParseContent(c.String())
		if err != nil || !reflect.DeepEqual(got, c) {
			t.Fatalf("%s reads %v, %v", c, got, err)
		}
	})
}

func TestContentRoundTripsThroughJSON(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, got := anyContent(t), fibre.Content{}
		text, err := json.Marshal(c)
		if err == nil {
			err = json.Unmarshal(text, &got)
		}
		if err != nil || !reflect.DeepEqual(got, c) {
			t.Fatalf("%s reads %v, %v", text, got, err)
		}
	})
}

func TestJSONPassesOverUnknownFields(t *testing.T) {
	var c fibre.Content
	err := json.Unmarshal([]byte(`[{"name":"cotton","percent_ppm":1000000,"staple_um":28000}]`), &c)
	if want := (fibre.Content{{Fibre: "cotton", Share: measure.Whole}}); err != nil ||
		!slices.Equal(c, want) {
		t.Errorf("reads %v, %v", c, err)
	}
}

func FuzzParseContent(f *testing.F) {
	seeds := []string{"cotton 60, linen 40", "60% cotton 40% linen", "wool (merino 18.5 um) 100",
		"cellulose?", "wool ?, nylon ?",
		"cellulose, probably cotton (burn test: grey ash)", "((", "100 100 100", "a/b ?", "?,?",
		"cotton\x00", "AB(0u\x00m)", "CA(0um1um)"}
	for _, s := range seeds {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, in string) {
		c, err := fibre.ParseContent(in)
		if err != nil {
			return
		}
		again, err := fibre.ParseContent(c.String())
		if err != nil || !reflect.DeepEqual(again, c) {
			t.Fatalf("%q reads %#v, written %q, which reads %#v, %v", in, c, c.String(), again, err)
		}
	})
}
