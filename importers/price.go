package importers

import (
	"strings"
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
	PerPackage  Basis = "package"
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
	"£": "GBP", "€": "EUR", "$": "$", "kr": "kr", "gbp": "GBP", "eur": "EUR", "euro": "EUR", "euros": "EUR", "usd": "USD", "us$": "USD",
	"cad": "CAD", "aud": "AUD", "nzd": "NZD", "sek": "SEK", "nok": "NOK", "dkk": "DKK", "chf": "CHF",
}

// ParsePrice reads "12.50", "£4", "3,20 €", "5.60 per 100 g", "$8". basis and
// currency come from the heading and hold where the cell says nothing.
func ParsePrice(text string, style Style, basis Basis, currency string) (Price, error) {
	p := Price{Per: basis, Currency: currency}
	rest := strings.ToLower(strings.TrimSpace(strings.Map(plainSpace, text)))
	if body, b, _ := splitBasis(rest); b != "" {
		rest, p.Per = body, b
	}
	rest = p.cutCurrency(rest)
	n, err := ParseNumber(rest, style)
	if err != nil {
		return Price{}, err
	}
	if n.Unit != "" || n.Times != 1 {
		return Price{}, numberError("not a price", "write one amount; what it is for goes into the heading: price per 100 g")
	}
	p.Amount = n.Decimal
	return p, nil
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
	parts := strings.Fields(text)
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
