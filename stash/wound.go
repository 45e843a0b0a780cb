package stash

import "maps"

// WoundOff gives the facts of what is wound or cut off a package: those stated,
// and what it has of the package's own.
func WoundOff(from PackageFacts, stated Fields) (Fields, error) {
	own, err := FieldsFrom(from)
	out := Fields{}
	for _, f := range packageFields {
		if value := own[f.Name]; f.Wound && value != nil {
			out[f.Name] = value
		}
	}
	maps.Copy(out, stated)
	return out, err
}
