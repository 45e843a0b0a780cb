package show

import (
	"bytes"
	"strings"
	"testing"
)

func TestNumbersKeepToTheirUnits(t *testing.T) {
	for text, want := range map[string]string{
		"9 × 5 cm, 3 g, 20 °C":        "9_×_5_cm, 3_g, 20_°C",
		"4450 ± 200 m; ± 1.8%":        "4450_±_200_m; ±_1.8%",
		"1 lb 3.0 oz of it":           "1_lb 3.0_oz of it",
		"10 7/8 in, 6773 m/kg":        "10 7/8_in, 6773_m/kg",
		"Write '412 g' or `x 3 m`.":   "Write '412 g' or `x 3 m`.",
		`say "30 C gentle" for it`:    `say "30 C gentle" for it`,
		"3 in the bag":                "3_in the bag",
		"256 ends of 260 cm: 3 mines": "256_ends of 260_cm: 3 mines",
	} {
		if got := strings.ReplaceAll(Glued(text), NoBreak, "_"); got != want {
			t.Errorf("%q becomes %q, want %q", text, got, want)
		}
	}
}

func TestDecimalsHaveACommaForWhoWritesOne(t *testing.T) {
	for text, want := range map[string]string{
		"27.5 × 166 cm, 9.8%, -4.2%.":     "27,5 × 166 cm, 9,8%, -4,2%.",
		"13.26 EUR in all: 5.28 and 7.98": "13,26 EUR in all: 5,28 and 7,98",
		"Ends at 27.5.":                   "Ends at 27,5.",
		"v1.2.3, 27.11.2026, a1.5.html":   "v1.2.3, 27.11.2026, a1.5.html",
		"Write '2.5 g'.":                  "Write '2.5 g'.",
		"Sums: endsmeet plan --x 2.5cm":   "Sums: endsmeet plan --x 2.5cm",
	} {
		var out bytes.Buffer
		sink := &Sink{W: &out, Comma: true}
		_, _ = sink.Write([]byte(text + "\n"))
		if got := strings.TrimSuffix(out.String(), "\n"); got != want {
			t.Errorf("%q becomes %q, want %q", text, got, want)
		}
	}
}
