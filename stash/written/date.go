package written

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// Date is a date known to the day, the month or the year. Month and Day are 0
// where not known; Note keeps what else the cell said ("estate").
type Date struct {
	Year  int    `json:"year"`
	Month int    `json:"month,omitempty"`
	Day   int    `json:"day,omitempty"`
	Note  string `json:"note,omitempty"`
}

// String returns YYYY, YYYY-MM or YYYY-MM-DD.
func (d Date) String() string {
	switch {
	case d.Month == 0:
		return fmt.Sprintf("%04d", d.Year)
	case d.Day == 0:
		return fmt.Sprintf("%04d-%02d", d.Year, d.Month)
	}
	return fmt.Sprintf("%04d-%02d-%02d", d.Year, d.Month, d.Day)
}

// ParseDate reads 2023, 2023-03, 2023-03-14, 14.3.2023, 3/2023, 14 March 2023,
// Mar 2023, each with a bracketed note behind it. 3/4/2023 could be two days:
// refused with a hint; so is a year of two digits.
func ParseDate(text string) (Date, error) {
	text = strings.TrimSpace(strings.Map(PlainSpace, text))
	body, note := CutNote(text)
	d, ok, err := isoDate(body)
	if !ok && err == nil {
		d, ok, err = numericDate(body)
	}
	if !ok && err == nil {
		d, ok = wordDate(body)
	}
	if err != nil {
		return Date{}, err
	}
	if ok && !d.valid() {
		return Date{}, Fault("there is no such date",
			"look it up, or give the month or the year alone")
	}
	if !ok {
		return Date{}, Fault("not a date", "write it as 2023, 2023-03 or 2023-03-14")
	}
	d.Note = note
	return d, nil
}

func (d Date) valid() bool {
	if d.Year < 1800 || d.Year > 2200 || d.Month < 0 || d.Month > 12 || d.Day < 0 {
		return false
	}
	if d.Day == 0 {
		return true
	}
	return d.Day <= time.Date(d.Year, time.Month(d.Month)+1, 0, 0, 0, 0, 0, time.UTC).Day()
}

// isoDate reads YYYY[-MM[-DD]], a time of day behind it let go.
func isoDate(text string) (Date, bool, error) {
	day, clock, _ := strings.Cut(text, "T")
	if clock == "" {
		day, clock, _ = strings.Cut(text, " ")
	}
	if clock != "" && strings.IndexByte(clock, ':') < 0 {
		return Date{}, false, nil
	}
	n, ok := integers(day, "-")
	if !ok || len(n) > 3 || n[0] < 1000 {
		return Date{}, false, nil
	}
	n = append(n, 0, 0)
	return Date{Year: n[0], Month: n[1], Day: n[2]}, true, nil
}

// numericDate reads 14.3.2023, 14/3/2023, 3/14/2023, 3/2023, 03.2023.
func numericDate(text string) (Date, bool, error) {
	sep := "/"
	if strings.IndexByte(text, '/') < 0 {
		sep = "."
	}
	n, ok := integers(text, sep)
	if !ok || len(n) < 2 || len(n) > 3 {
		return Date{}, false, nil
	}
	year := n[len(n)-1]
	if year < 1000 {
		return Date{}, false, Fault("a year of two digits",
			"write the year with four digits: 2023-03-14")
	}
	if len(n) == 2 {
		return Date{Year: year, Month: n[0]}, true, nil
	}
	day, month := n[0], n[1]
	switch {
	case sep == "." || day > 12: // points are written day first
	case month > 12:
		day, month = month, day
	case day != month:
		return Date{}, false, Fault("a date that can be read as two days",
			"write it as year-month-day: 2023-03-14")
	}
	return Date{Year: year, Month: month, Day: day}, true, nil
}

// wordDate reads 14 March 2023, March 14, 2023, Mar 2023, 14-Mar-2023.
func wordDate(text string) (Date, bool) {
	var d Date
	parts := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" ,-./", r) })
	if len(parts) < 2 || len(parts) > 3 {
		return Date{}, false
	}
	for _, part := range parts {
		n, err := strconv.Atoi(part)
		switch m := monthOf(part); {
		case err == nil && n >= 1000 && d.Year == 0:
			d.Year = n
		case err == nil && n >= 1 && n <= 31 && d.Day == 0:
			d.Day = n
		case err != nil && m > 0 && d.Month == 0:
			d.Month = m
		default:
			return Date{}, false
		}
	}
	return d, d.Year > 0 && d.Month > 0
}

// integers splits text at sep into whole numbers of at most four digits.
func integers(text, sep string) ([]int, bool) {
	parts := strings.Split(text, sep)
	if len(parts) > 3 {
		return nil, false
	}
	out := make([]int, 0, 5)
	for _, p := range parts {
		n, err := strconv.Atoi(p)
		if err != nil || len(p) > 4 || p[0] == '+' || p[0] == '-' {
			return nil, false
		}
		out = append(out, n)
	}
	return out, true
}

// monthOf returns the month that an English name or its first three letters or
// more name, else 0.
func monthOf(word string) int {
	word = strings.ToLower(word)
	for m := time.January; m <= time.December; m++ {
		name := strings.ToLower(m.String())
		if len(word) >= 3 && strings.HasPrefix(name, word) || m == time.September &&
			word == "sept" {
			return int(m)
		}
	}
	return 0
}

// LooksLikeDate reports whether a cell that should hold a number holds what a
// spreadsheet makes of 8/2 or 1/2: 2-Aug, Aug-02, 02/08/2024, 2024-08-02.
func LooksLikeDate(text string) bool {
	if len(text) < 5 || len(text) > 24 {
		return false
	}
	if n, ok := integers(strings.Fields(text)[0], "-"); ok && len(n) == 3 {
		return true
	}
	if n, ok := integers(strings.Fields(text)[0], "/"); ok && len(n) == 3 {
		return true
	}
	if n, ok := integers(text, "."); ok && len(n) == 3 && n[0] <= 31 && n[1] <= 12 &&
		n[2] >= 1900 && !threeByThree(text) {
		return true
	}
	first, second, dashed := strings.Cut(text, "-")
	month, _, _ := strings.Cut(second, "-")
	return dashed && (monthOf(first) > 0 && startsDigit(second) || startsDigit(first) &&
		monthOf(month) > 0)
}

// threeByThree reports whether every group behind a point has three digits, as
// thousands have.
func threeByThree(text string) bool {
	for _, p := range strings.Split(text, ".")[1:] {
		if len(p) != 3 {
			return false
		}
	}
	return true
}

// Absolute writes the days that are told from today as dates: "today",
// "yesterday", "3 days ago". Any other text is left as it is.
func Absolute(text string, today time.Time) string {
	words := strings.Fields(strings.ToLower(text))
	back := -1
	switch {
	case len(words) == 1 && words[0] == "today":
		back = 0
	case len(words) == 1 && words[0] == "yesterday":
		back = 1
	case len(words) == 3 && strings.TrimSuffix(words[1], "s") == "day" && words[2] == "ago":
		if n, err := strconv.Atoi(words[0]); err == nil && n >= 0 && n <= maxDaysAgo {
			back = n
		}
	}
	if back < 0 {
		return text
	}
	return today.AddDate(0, 0, -back).Format(time.DateOnly)
}

// maxDaysAgo is as many days as anybody counts.
const maxDaysAgo = 10_000
