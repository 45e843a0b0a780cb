package xlsx

import (
	"archive/zip"
	"math"
	"strings"
	"time"

	"endsmeet/importers"
)

// shape is how a style shows a number.
type shape uint8

const (
	asNumber shape = iota
	asDate
	asPercent
)

// stylesXML is what is needed of xl/styles.xml (ECMA-376 part 1, 18.8).
type stylesXML struct {
	Formats []struct {
		ID   int    `xml:"numFmtId,attr"`
		Code string `xml:"formatCode,attr"`
	} `xml:"numFmts>numFmt"`
	Styles []struct {
		Format int `xml:"numFmtId,attr"`
	} `xml:"cellXfs>xf"`
}

// readStyles gives the shape of each style by its number. A workbook without
// readable styles shows numbers.
func readStyles(part *zip.File, budget *importers.Budget) ([]shape, error) {
	var all stylesXML
	if found, err := decodePart(part, budget, &all); !found {
		return nil, err
	}
	own := make(map[int]shape)
	for _, f := range all.Formats {
		own[f.ID] = custom(f.Code)
	}
	shapes := make([]shape, len(all.Styles))
	for i, s := range all.Styles {
		how, ok := own[s.Format]
		if !ok {
			how = builtIn(s.Format)
		}
		shapes[i] = how
	}
	return shapes, nil
}

// decodePart decodes a small XML part. It is false if there is none; a part that is too
// large is an error.
func decodePart(part *zip.File, budget *importers.Budget, into any) (bool, error) {
	if part == nil {
		return false, nil
	}
	in, err := part.Open()
	if err != nil {
		return false, nil //nolint:nilerr // CheckZip has opened it
	}
	defer in.Close()
	if err = importers.Decode(in, budget, into); importers.BeyondLimit(err) {
		return false, &importers.Problem{Reason: "its part " + part.Name + ": " + err.Error(),
			Hint: "copy the table into a new workbook, or export it as CSV"}
	}
	return err == nil, nil
}

// builtIn knows the built-in formats (ECMA-376 part 1, 18.8.30): 9 and 10 are
// percent; 14 to 17, 22 and some of the East Asian languages show a day.
func builtIn(id int) shape {
	switch {
	case id == 9 || id == 10:
		return asPercent
	case id >= 14 && id <= 17 || id == 22 || id >= 27 && id <= 31 || id == 36 || id >= 50 &&
		id <= 54 || id == 57 || id == 58:
		return asDate
	}
	return asNumber
}

// custom reads a format code: outside text in quotation marks, escapes and
// brackets a d or a y shows a date, and a percent sign percent.
func custom(code string) shape {
	quoted, bracket, escaped := false, false, false
	for _, c := range strings.ToLower(code) {
		switch {
		case escaped:
			escaped = false
		case c == '\\' || c == '_' || c == '*':
			escaped = true
		case c == '"':
			quoted = !quoted
		case quoted:
		case c == '[':
			bracket = true
		case c == ']':
			bracket = false
		case !bracket && (c == 'd' || c == 'y'):
			return asDate
		case !bracket && c == '%':
			return asPercent
		}
	}
	return asNumber
}

const (
	secondsOfDay = 86_400
	lastDay      = 2_958_465 // 9999-12-31, counted from 1900
)

// dateOf is the day that a number stands for, at the nearest second. Days count
// from 1904, or from 1900 with a 29th of February that was not (ECMA-376 part
// 1, 18.17.4.1). It is false if there is no such day.
func dateOf(number float64, from1904 bool) (time.Time, bool) {
	if !(number >= 0 && number < lastDay+1) {
		return time.Time{}, false
	}
	day := int(math.Round(number*secondsOfDay)) / secondsOfDay
	first := time.Date(1899, time.December, 30, 0, 0, 0, 0, time.UTC)
	switch {
	case from1904:
		first = time.Date(1904, time.January, 1, 0, 0, 0, 0, time.UTC)
	case day == 60:
		return time.Time{}, false
	case day < 60:
		first = first.AddDate(0, 0, 1)
	}
	return first.AddDate(0, 0, day), true
}
