package written

import (
	"cmp"
	"math/big"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Basis says what a price is for.
type Basis string

// Bases of a price; the empty one is not stated.
const (
	Per100g     Basis = "100 g"
	PerKilogram Basis = "kg"
	PerPound    Basis = "lb"
	PerOunce    Basis = "oz"
	PerPackage  Basis = "item"
	InTotal     Basis = "total"
)

// Price is an amount as a plain decimal, what it is for, and the currency that
// the sheet shows: an ISO 4217 code, or the sign where it can mean several.
type Price struct {
	Amount   string `json:"amount"`
	Per      Basis  `json:"per,omitempty"`
	Currency string `json:"currency,omitempty"`
}

// currencies maps signs and codes to ISO 4217 codes. "$" is many currencies, "¥" two
// and "kr" several: they are kept and not guessed.
var currencies = map[string]string{
	"£": "GBP", "€": "EUR", "$": "$", "¥": "¥", "₹": "INR", "kr": "kr", "gbp": "GBP", "eur": "EUR",
	"euro": "EUR", "euros": "EUR", "usd": "USD", "us$": "USD",
	"cad": "CAD", "aud": "AUD", "nzd": "NZD", "sek": "SEK", "nok": "NOK", "dkk": "DKK",
	"chf": "CHF", "jpy": "JPY", "pln": "PLN", "czk": "CZK", "huf": "HUF", "isk": "ISK",
	"inr": "INR", "cny": "CNY", "brl": "BRL", "zar": "ZAR", "mxn": "MXN",
}

// ParsePrice reads "12.50", "£4", "3,20 €", "5.60 per 100 g", "$8". basis and
// currency come from the heading and hold where the cell says nothing.
func ParsePrice(text string, style Style, basis Basis, currency string) (Price, error) {
	rest, stated, sign := SplitBasis(strings.ToLower(strings.Map(PlainSpace, text)))
	rest, attached := cutCurrency(rest)
	n, err := ParseNumber(rest, style)
	if err != nil {
		return Price{}, err
	}
	if n.Unit != "" || n.Times != 1 {
		return Price{}, Fault("not a price",
			"write one amount; what it is for goes into the heading: price per 100 g")
	}
	return Price{Amount: n.Decimal, Per: cmp.Or(stated, basis),
		Currency: cmp.Or(attached, sign, currency)}, nil
}

// cutCurrency takes a currency's sign or code from either end of an amount: "60eur",
// "$ 8". The longest counts: "us$8" is no "$".
func cutCurrency(text string) (amount, code string) {
	longest := 0
	amount = text
	for sign, c := range currencies {
		rest, found := strings.CutPrefix(text, sign)
		if first, _ := utf8.DecodeRuneInString(strings.TrimSpace(rest)); unicode.IsLetter(first) {
			found = false
		}
		if !found {
			rest, found = strings.CutSuffix(text, sign)
			last, _ := utf8.DecodeLastRuneInString(strings.TrimSpace(rest))
			found = found && !unicode.IsLetter(last)
		}
		if found && len(sign) > longest {
			amount, code, longest = strings.TrimSpace(rest), c, len(sign)
		}
	}
	return amount, code
}

// bases maps what a price can be per, without spaces and in the singular, to what it is
// for; any word for a package is one too.
var bases = map[string]Basis{
	"100g": Per100g, "100gr": Per100g, "100gm": Per100g, "100gram": Per100g, "100gramme": Per100g,
	"kg": PerKilogram, "1kg": PerKilogram, "kilo": PerKilogram, "kilogram": PerKilogram,
	"kilogramme": PerKilogram,
	"lb":         PerPound, "1lb": PerPound, "pound": PerPound,
	"oz": PerOunce, "1oz": PerOunce, "ounce": PerOunce,
	"item": PerPackage,
}

// closing are the words that say what a price is for without a "per" before them.
var closing = map[string]Basis{"each": PerPackage, "apiece": PerPackage, "total": InTotal,
	"in total": InTotal, "paid": InTotal}

// BasisOf is what a price is for that is per so much: "kg", "100 g", "ball".
func BasisOf(per string) (Basis, bool) {
	if b, ok := closing[per]; ok {
		return b, true
	}
	word := strings.TrimSuffix(strings.ReplaceAll(per, " ", ""), "s")
	if b, ok := bases[word]; ok {
		return b, true
	}
	if _, ok := PackageOf(word); ok {
		return PerPackage, true
	}
	return "", false
}

// SplitPer cuts what a price is for from its text, or from a heading's words: "3.10 per
// 250g" is 3.10 and "250g", "22 each" is 22 and "each". per is empty where nothing is said.
func SplitPer(text string) (rest, per string) {
	words := strings.Fields(strings.ReplaceAll(text, "/", " / "))
	for i, word := range slices.Backward(words) {
		if word == "per" || word == "/" {
			return strings.Join(words[:i], " "), strings.Join(words[i+1:], " ")
		}
	}
	for i := max(len(words)-2, 0); i < len(words); i++ {
		if tail := strings.Join(words[i:], " "); closing[tail] != "" {
			return strings.Join(words[:i], " "), tail
		}
	}
	return strings.Join(words, " "), ""
}

// SplitBasis cuts what a price is for from a heading's words, and the sign or
// code of a currency.
func SplitBasis(heading string) (rest string, basis Basis, currency string) {
	kept := strings.Fields(strings.ReplaceAll(heading, "/", " / "))
	for i, word := range kept {
		if code, ok := currencies[word]; ok {
			kept, currency = slices.Delete(kept, i, i+1), code
			break
		}
	}
	rest, per := SplitPer(strings.Join(kept, " "))
	if b, ok := BasisOf(per); ok {
		return rest, b, currency
	}
	if currency == "" {
		return heading, "", ""
	}
	return strings.TrimSuffix(strings.Join(kept, " "), " /"), "", currency
}

// Milli is the amount in thousandths, half to even; false where it is beyond
// what a stash may hold.
func (p Price) Milli() (int64, bool) {
	v, ok := new(big.Rat).SetString(p.Amount)
	if !ok || v.Sign() < 0 || v.Cmp(big.NewRat(1_000_000_000, 1)) > 0 {
		return 0, false
	}
	v.Mul(v, big.NewRat(1000, 1))
	return Round(v)
}
