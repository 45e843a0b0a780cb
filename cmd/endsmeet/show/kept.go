package show

import (
	"maps"
	"regexp"
	"slices"
	"strings"
	"sync"
)

// NoBreak is the space between a number and its unit, at which no line ends (U+00A0).
const NoBreak = "\u00a0"

// unitWord knows what a number is not parted from at the end of a line.
var unitWord = map[string]bool{
	"%": true, "g": true, "kg": true, "mg": true, "m": true, "cm": true, "mm": true, "in": true,
	"yd": true, "oz": true, "lb": true, "C": true, "°C": true, "tex": true, "Ne": true,
	"Nm": true, "m/kg": true, "yd/lb": true, "um": true, "ends": true, "picks": true,
}

// quoted matches what is to be typed as it stands, within a line.
const quoted = "(?:^|[ (=])'[^']*'|`[^`]*`|\"[^\"]*\""

// measured matches what is quoted, and a number with its unit.
var measured = sync.OnceValue(func() *regexp.Regexp {
	var units []string
	for _, unit := range slices.Backward(slices.Sorted(maps.Keys(unitWord))) {
		units = append(units, regexp.QuoteMeta(unit))
	}
	return regexp.MustCompile(quoted + `|\d (?:` + strings.Join(units, "|") +
		`)(?:[^\pL\d]|$)`)
})

// signed matches what is quoted, and a sign that a number stands beside.
var signed = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(quoted + `|[\pL\d%] [×±] |± `)
})

// decimalNumber matches what is quoted, and a number with a decimal point that is no
// part of a longer word.
var decimalNumber = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(quoted + `|[\pL\d_.,/:-]*\d\.\d+[\pL\d_.:-]*`)
})

// Glued puts a space that does not break between each number and its unit, and at both
// sides of × and ±. What is quoted stays as it is.
func Glued(line string) string {
	if strings.ContainsAny(line, "0123456789") {
		line = measured().ReplaceAllStringFunc(line, joined)
	}
	if strings.ContainsAny(line, "×±") {
		line = signed().ReplaceAllStringFunc(line, func(found string) string {
			return strings.ReplaceAll(joined(found+"\n"), "\n", "")
		})
	}
	return line
}

// joined is a number with its unit, not to be parted.
func joined(found string) string {
	if strings.ContainsAny(found[:min(2, len(found))], "'`\"") {
		return found
	}
	end := strings.TrimRight(found, " ")
	return strings.ReplaceAll(end, " ", NoBreak) + found[len(end):]
}

// withCommas writes the decimals of a line with a comma.
func withCommas(line string) string {
	return decimalNumber().ReplaceAllStringFunc(line, func(found string) string {
		number := strings.TrimRight(strings.TrimPrefix(found, "-"), ".:")
		if strings.Trim(number, "0123456789") != "." {
			return found
		}
		return strings.Replace(found, ".", ",", 1)
	})
}

// unread matches what nobody reads of a page or a drawing: tags, style and script.
var unread = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(?s)<style[^>]*>.*?</style>|<script[^>]*>.*?</script>|<[^>]*>`)
})

// PageWithCommas writes the decimals of what is read of a page or a drawing with a comma.
func PageWithCommas(page []byte) []byte {
	out, at := make([]byte, 0, len(page)), 0
	for _, tag := range unread().FindAllIndex(page, -1) {
		out = append(out, withCommas(string(page[at:tag[0]]))...)
		out, at = append(out, page[tag[0]:tag[1]]...), tag[1]
	}
	return append(out, withCommas(string(page[at:]))...)
}

// kept is a line as whoever reads it writes numbers. A command that may be pasted stays
// as it is.
func (s *Sink) kept(line string) string {
	glue := s.Terminal && !s.Plain
	if !s.Comma && !glue || typedCommand().MatchString(strings.TrimLeft(line, " ")) {
		return line
	}
	if s.Comma {
		line = withCommas(line)
	}
	if glue {
		line = Glued(line)
	}
	return line
}
