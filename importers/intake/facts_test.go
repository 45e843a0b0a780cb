package intake_test

import (
	"strings"
	"testing"

	"endsmeet/stash/measure"
)

// What a price is for: a mass, each package, or all that the row has.
func TestWhatAPriceIsFor(t *testing.T) {
	for _, tt := range []struct {
		head, row string
		milli     int64
		per       measure.Mass
		note      string
	}{
		{"price per 100 g", "3.10", 3100, 100 * measure.Gram, ""},
		{"price per kg", "31", 31000, 1000 * measure.Gram, ""},
		{"price per oz", "2", 2000, 28350, ""},  // units: 1 oz = 28.349523 g
		{"price per lb", "9", 9000, 453592, ""}, // units: 1 lb = 453.59237 g
		{"price (EUR)", "4.50", 4500, 0, ""},
		{"total price", "10", 10000, 200 * measure.Gram, ""},
		{"price", "0.0005", 0, 0, ""}, // half to even
	} {
		got, _ := entries(t, sheet(t, "yarn,form,net (g),"+tt.head, "Wool,2 balls,200,"+tt.row))
		_, p := facts(t, got[0])
		if p.Price == nil || p.Price.Milli != tt.milli || p.Price.Per != tt.per ||
			!strings.Contains(p.Note, tt.note) {
			t.Errorf("%s %s: got %+v, note %q", tt.head, tt.row, p.Price, p.Note)
		}
	}
	got, _ := entries(t, sheet(t, "yarn,form,net (g),price", "Wool,2 balls,200,24 EUR"))
	if _, p := facts(t, got[0]); p.Price == nil || p.Price.Currency != "EUR" {
		t.Errorf("in euros: %+v", p.Price)
	}
	got, _ = entries(t, sheet(t, "yarn,form,total price", "Wool,2 balls,10"))
	if _, p := facts(t, got[0]); p.Price != nil || !strings.Contains(p.Note, "price: 10 total") {
		t.Errorf("a total for packages of unknown mass: %+v, note %q", p.Price, p.Note)
	}
	got, _ = entries(t, sheet(t, "yarn,price", "Wool,2000000000"))
	if _, p := facts(t, got[0]); p.Price != nil || !strings.Contains(p.Note, "price: 2000000000") {
		t.Errorf("beyond all prices: %+v, note %q", p.Price, p.Note)
	}
}

// Of cut ends the shortest counts, since any of them may be it.
func TestTheLongestUsableEnd(t *testing.T) {
	for text, want := range map[string]measure.Length{
		"cut ends 55 to 75 cm": 550, "cut ends 60 cm, mixed": 600, "cut ends 2 to 3 m": 2000,
		"cut ends": 0, "cut ends some to many": 0, "cut ends 5 to 7": 0, "singles": 0,
	} {
		got, _ := entries(t, sheet(t, "yarn,form,net (g),construction", `Bits,bag,20,"`+text+`"`))
		if _, p := facts(t, got[0]); p.Longest != want {
			t.Errorf("%s: %v, want %v", text, p.Longest, want)
		}
	}
}

// Superwash in the description is of the wool, and of nothing else; it stays
// wool for whoever reacts to wool.
func TestSuperwashIsOfTheWool(t *testing.T) {
	for fibre, want := range map[string]string{
		"wool 75, nylon 25":    "wool (superwash) 75, nylon 25",
		"wool (merino) 100":    "wool (merino superwash) 100",
		"wool (superwash) 100": "wool (superwash) 100", "cotton 100": "cotton 100",
	} {
		got, _ := entries(t, sheet(t, "yarn,fibre,construction",
			`Sock,"`+fibre+`","2-ply, superwash"`))
		y, _ := facts(t, got[0])
		if y.Fibre.String() != want {
			t.Errorf("%s: %s, want %s", fibre, y.Fibre, want)
		}
	}
}

// A mass that nobody weighed is worked out of length and count, and said to be.
func TestAMassOutOfLengthAndCount(t *testing.T) {
	got, _ := entries(t, sheet(t, "yarn,count,length (m)", "Wool,2 Nm,500", "Wool,,500"))
	_, p := facts(t, got[0])
	// 500 m of Nm 2 (2000 m/kg, ISO 2947) weigh 250 g
	if net := got[0].Packages[0].Net(); net == nil || *net != 250*measure.Gram ||
		!strings.Contains(p.Note, "worked out from the length of 500 m") {
		t.Errorf("%v, note %q", net, p.Note)
	}
	if _, p := facts(t, got[1]); got[1].Packages[0].Net() != nil ||
		!strings.Contains(p.Note, "length in the sheet: 500 m") {
		t.Errorf("without a count: %v, note %q", got[1].Packages[0].Net(), p.Note)
	}
	got, _ = entries(t, sheet(t, "yarn,count,length (m),net (g)", "Wool,2 Nm,500,250",
		"Wool,2 Nm,400,250"))
	_, agrees := facts(t, got[0])
	_, differs := facts(t, got[1])
	if agrees.Note != "" || !strings.Contains(differs.Note, "length in the sheet: 400 m") {
		t.Errorf("notes %q and %q", agrees.Note, differs.Note)
	}
}
