package written_test

import (
	"slices"
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/written"
)

func TestEveryWordForAPackageIsAFormOfTheStash(t *testing.T) {
	var forms []string
	for _, f := range stash.Forms {
		forms = append(forms, string(f.Form))
		if p, ok := written.PackageOf(string(f.Form) + "s"); !ok || p.Form != string(f.Form) || p.Word != p.Form {
			t.Errorf("the form %s reads as %+v", f.Form, p)
		}
	}
	words := written.PackageWords()
	if len(words) <= len(forms) {
		t.Fatal("no other words")
	}
	for _, word := range words {
		p, _ := written.PackageOf(word)
		if !slices.Contains(forms, p.Form) {
			t.Errorf("%s is %q, which is no form", word, p.Form)
		}
		if same, _ := written.PackageOf(p.Word); same != p {
			t.Errorf("%s is %+v, whose own word is %+v", word, p, same)
		}
	}
}

func TestAPriceSaysWhatItIsForHoweverItIsSpaced(t *testing.T) {
	units := map[string]written.Basis{"100g": written.Per100g, "100 g": written.Per100g,
		"kg": written.PerKilogram, "lb": written.PerPound, "oz": written.PerOunce, "ounces": written.PerOunce,
		"item": written.PerPackage}
	for _, word := range written.PackageWords() {
		units[word] = written.PerPackage
	}
	signs := map[string]string{"": "", "£": "GBP", "€": "EUR", "$": "$", "¥": "¥", "us$": "USD", "kr": "kr"}
	for unit, basis := range units {
		for _, per := range []string{" per ", " / ", "/", "/ ", " /"} {
			for sign, code := range signs {
				for _, amount := range []string{sign + "1.50", sign + " 1.50", "1.50" + sign, "1.50 " + sign} {
					text := amount + per + unit
					want := written.Price{Amount: "1.5", Per: basis, Currency: code}
					if got, err := written.ParsePrice(text, written.StylePoint, "", ""); err != nil || got != want {
						t.Errorf("%q: %+v, %v; want %+v", text, got, err, want)
					}
				}
			}
		}
	}
	for _, text := range []string{"500¥", "¥500", "¥ 500", "500 JPY"} {
		if p, err := written.ParsePrice(text, written.StylePoint, "", ""); err != nil || p.Amount != "500" || p.Currency == "" {
			t.Errorf("%q: %+v, %v", text, p, err)
		}
	}
	for _, text := range []string{"1.50 per", "1.50 per banana", "$", "kr", "1 krone", "5 / each / kg"} {
		if p, err := written.ParsePrice(text, written.StylePoint, "", ""); err == nil {
			t.Errorf("%q is read as %+v", text, p)
		}
	}
}
