package written

import (
	"cmp"
	"math/big"
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

// currencies maps signs and codes to ISO 4217 codes. "$" is many currencies
// and "kr" several: they are kept and not guessed.
var currencies = map[string]string{
	"£": "GBP", "€": "EUR", "$": "$", "kr": "kr", "gbp": "GBP", "eur": "EUR", "euro": "EUR",
	"euros": "EUR", "usd": "USD", "us$": "USD",
	"cad": "CAD", "aud": "AUD", "nzd": "NZD", "sek": "SEK", "nok": "NOK", "dkk": "DKK",
	"chf": "CHF", "jpy": "JPY", "pln": "PLN", "czk": "CZK", "huf": "HUF", "isk": "ISK",
	"inr": "INR", "cny": "CNY", "brl": "BRL", "zar": "ZAR", "mxn": "MXN", "¥": "¥",
}

// ParsePrice reads "12.50", "£4", "3,20 €", "5.60 per 100 g", "$8". basis and
// currency come from the heading and hold where the cell says nothing.
func ParsePrice(text string, style Style, basis Basis, currency string) (Price, error) {
	p := Price{Per: basis, Currency: currency}
	rest := strings.ToLower(strings.TrimSpace(strings.Map(PlainSpace, text)))
	if body, b, sign := SplitBasis(rest); b != "" {
		rest, p.Per, p.Currency = body, b, cmp.Or(sign, p.Currency)
	}
	rest = p.cutCurrency(rest)
	n, err := ParseNumber(rest, style)
	if err != nil {
		return Price{}, err
	}
	if n.Unit != "" || n.Times != 1 {
		return Price{}, Fault("not a price",
			"write one amount; what it is for goes into the heading: price per 100 g")
	}
	p.Amount = n.Decimal
	return p, nil
}

// apart puts a space between a number and the letters beside it: "60eur", "eur60".
func apart(text string) string {
	letter := func(r rune) bool { return unicode.IsLetter(r) }
	if i := strings.IndexFunc(text, letter); i > 0 && text[i-1] >= '0' && text[i-1] <= '9' {
		return text[:i] + " " + text[i:]
	}
	if i := strings.IndexAny(text, "0123456789"); i > 0 && letter(rune(text[i-1])) {
		return text[:i] + " " + text[i:]
	}
	return text
}

// cutCurrency takes a currency's sign or code from either end.
func (p *Price) cutCurrency(text string) string {
	r, size := utf8.DecodeRuneInString(text)
	last, lastSize := utf8.DecodeLastRuneInString(text)
	switch {
	case strings.ContainsRune("£€$", r):
		p.set(string(r))
		return strings.TrimSpace(text[size:])
	case strings.ContainsRune("£€$", last):
		p.set(string(last))
		return strings.TrimSpace(text[:len(text)-lastSize])
	}
	parts := strings.Fields(apart(text))
	if len(parts) == 2 && currencies[parts[1]] != "" {
		p.set(parts[1])
		return parts[0]
	}
	if len(parts) == 2 && currencies[parts[0]] != "" {
		p.set(parts[0])
		return parts[1]
	}
	return text
}

func (p *Price) set(sign string) {
	if code := currencies[sign]; code != "" {
		p.Currency = code
	}
}

// priceBases maps the words behind "price" to what the price is for.
var priceBases = map[string]Basis{
	"per 100g": Per100g, "per 100 g": Per100g, "/100g": Per100g, "/100 g": Per100g,
	"/ 100g": Per100g, "/ 100 g": Per100g,
	"per kg": PerKilogram, "/kg": PerKilogram, "per kilo": PerKilogram, "/ kg": PerKilogram,
	"per lb": PerPound, "/lb": PerPound, "per pound": PerPound, "/ lb": PerPound,
	"per oz": PerOunce, "/oz": PerOunce, "per ounce": PerOunce,
	"per ball": PerPackage, "per skein": PerPackage, "per cone": PerPackage, "each": PerPackage,
	"/ball": PerPackage, "/skein": PerPackage, "per hank": PerPackage,
	"total": InTotal, "paid": InTotal, "in total": InTotal,
}

// BasisOf is what the words behind "price" say that it is for.
func BasisOf(words string) (Basis, bool) {
	b, ok := priceBases[words]
	return b, ok
}

// SplitBasis cuts what a price is for from a heading's words, and the sign or
// code of a currency.
func SplitBasis(heading string) (rest string, basis Basis, currency string) {
	tail := ""
	for words, b := range priceBases {
		if strings.HasSuffix(heading, words) && len(words) > len(tail) {
			tail, basis = words, b
		}
	}
	var kept []string
	for _, p := range strings.Fields(strings.TrimSuffix(heading, tail)) {
		if code, ok := currencies[p]; ok && currency == "" {
			currency = code
			continue
		}
		kept = append(kept, p)
	}
	return strings.Join(kept, " "), basis, currency
}

// Milli is the amount in thousandths, half to even; false where it is beyond
// what a stash may hold.
func (p Price) Milli() (int64, bool) {
	v, ok := new(big.Rat).SetString(p.Amount)
	if !ok || v.Sign() < 0 || v.Cmp(big.NewRat(1_000_000_000, 1)) > 0 {
		return 0, false
	}
	v.Mul(v, big.NewRat(1000, 1))
	whole, rest := new(big.Int).QuoRem(v.Num(), v.Denom(), new(big.Int))
	n := whole.Int64()
	if c := rest.Lsh(rest, 1).Cmp(v.Denom()); c > 0 || c == 0 && n%2 == 1 {
		n++
	}
	return n, true
}
