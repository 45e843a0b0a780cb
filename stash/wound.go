package stash

import (
	"encoding/json"
	"maps"
)

// WoundOff gives the facts of what is wound or cut off a package: those stated,
// and what it has of the package's own.
func WoundOff(from PackageFacts, stated Fields) (Fields, error) {
	raw, err := json.Marshal(from)
	own := Fields{}
	if err == nil {
		err = json.Unmarshal(raw, &own)
	}
	out := Fields{}
	for _, f := range packageFields {
		if value := own[f.Name]; f.Wound && value != nil {
			out[f.Name] = value
		}
	}
	maps.Copy(out, stated)
	return out, err
}
