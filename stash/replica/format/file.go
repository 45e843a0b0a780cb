package format

import (
	"bytes"
	"encoding/json"

	"endsmeet/stash"
)

// File is the content of format.json.
type File struct {
	Format int    `json:"format"`
	Vault  string `json:"vault"`
	Reader int    `json:"least_reader"`
}

// formatNow is the format of the shared place that this version writes and reads.
const formatNow = 1

// FileOf is the content of the format file of a shared place.
func FileOf(vaultID string) []byte {
	raw, _ := json.Marshal(File{formatNow, vaultID, formatNow}) // numbers and a string
	return append(raw, '\n')
}

// ReadFile reads format.json. One that needs a newer version is refused.
func ReadFile(data []byte) (File, error) {
	var f File
	if json.Unmarshal(data, &f) != nil || f.Format < 1 || len(f.Vault) != 26 {
		return f, Bad(FileName, StepFormat, "it says nothing that can be read")
	}
	if f.Reader > formatNow {
		return f, stash.Refuse(stash.CodeNewer,
			"install that version or a newer one; nothing was changed",
			"the shared place was set up by a newer endsmeet (format %d, this one reads %d)",
			f.Reader, formatNow)
	}
	if f.Format == formatNow && !bytes.Equal(data, FileOf(f.Vault)) {
		return f, Bad(FileName, StepFormat, "it says something else than what is written there")
	}
	return f, nil
}
