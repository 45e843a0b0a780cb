package show

import (
	"encoding/json"

	"endsmeet/stash"
)

// Setting is the JSON shape of one setting. Unit is that of a figure; a limit
// of the loom that is not known is null.
type Setting struct {
	Name  string          `json:"name"`
	Value json.RawMessage `json:"value"`
	Unit  *string         `json:"unit"`
	Set   bool            `json:"set"`
	Help  string          `json:"example"`
}

// Words shows the value as it could be typed.
func (s Setting) Words() string {
	if string(s.Value) == "null" {
		return "not set"
	}
	return stash.SettingWords(s.Name, s.Value)
}
