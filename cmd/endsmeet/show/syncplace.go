package show

import (
	"encoding/json"

	"endsmeet/stash"
	"endsmeet/stash/replica"
)

// PlaceMade is the JSON shape of setting up.
type PlaceMade struct {
	Place string `json:"place"`
	Code  string `json:"recovery_code"`
}

// MachineRemoved is the JSON shape of a removal.
type MachineRemoved struct {
	Machine replica.Machine `json:"machine"`
	Code    string          `json:"recovery_code"`
}

// QuestionSettled is the JSON shape of a QuestionSettled field.
type QuestionSettled struct {
	Subject stash.Subject   `json:"subject"`
	Field   string          `json:"field"`
	Value   json.RawMessage `json:"value"`
}
