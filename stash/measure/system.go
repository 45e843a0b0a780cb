package measure

import "strings"

// System is the system of units that output is written in. Input takes both.
type System int

// The two systems, equals in every command.
const (
	Metric System = iota
	Imperial
)

// String gives the system's word, "metric" or "imperial".
func (s System) String() string {
	if s == Imperial {
		return "imperial"
	}
	return "metric"
}

// ParseSystem reads "metric" or "imperial" in any letter case.
// Anything else is an *Error that names both words.
func ParseSystem(s string) (System, error) {
	switch strings.ToLower(strings.TrimSpace(s)) {
	case "metric":
		return Metric, nil
	case "imperial":
		return Imperial, nil
	}
	return Metric, &Error{Input: s, Problem: "no such system of units",
		Hint: "write metric or imperial"}
}

// MarshalText writes the system as its word.
func (s System) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (s *System) UnmarshalText(text []byte) error {
	parsed, err := ParseSystem(string(text))
	if err != nil {
		return err
	}
	*s = parsed
	return nil
}
