package written

import (
	"regexp"
	"strconv"
	"strings"
	"sync"
)

// roughly matches what people write with a year of which they know no more: a season, or
// that it is about so. Other languages than English from memory.
var roughly = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(?i)\b(?:spring|summer|autumn|fall|winter|early|mid|late|in|of|the|year|c|ca|circa|about|around|approx|approximately|` +
		`fr\x{fc}hling|fr\x{fc}hjahr|sommer|herbst|anfang|ende|mitte|um|printemps|\x{e9}t\x{e9}|automne|hiver|vers|` +
		`primavera|estate|autunno|inverno|verano|oto\x{f1}o|invierno|lente|zomer|herfst|for\x{e5}r|v\x{e5}r|sommar|h\x{f6}st|efter\x{e5}r)\b|[~.,;()-]`)
})

// RoughYear reads the year of a date that is known no better, "spring 2019", "c. 2015",
// "2018?". Whoever takes it keeps the words as well. False where the text says more, or
// not one year.
func RoughYear(text string) (Date, bool) {
	rest, _ := Undoubted(strings.Map(PlainSpace, text))
	year, err := strconv.Atoi(strings.TrimSpace(roughly().ReplaceAllString(rest, " ")))
	d := Date{Year: year}
	return d, err == nil && d.valid()
}
