package show

import (
	"cmp"
	"encoding/json"
	"io"

	jsonv2 "github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	jsonv1 "github.com/go-json-experiment/json/v1"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// EncodeJSON writes an answer as JSON, without a line end: a list or a map of nothing is [] or
// {}, never null, which is not known.
func EncodeJSON(w io.Writer, answer any, o ...jsonv2.Options) error {
	return jsonv2.MarshalWrite(w, answer, jsonv1.DefaultOptionsV1(), jsontext.EscapeForHTML(false),
		jsonv2.FormatNilSliceAsNull(false), jsonv2.FormatNilMapAsNull(false),
		jsonv2.JoinOptions(o...))
}

// ProjectShape is the JSON shape of a project: every field that a project can have,
// null where it is open: setts in threads per kilometre, ratios in parts per million.
func ProjectShape(facts stash.ProjectFacts) (map[string]any, error) {
	raw, err := json.Marshal(facts)
	if err != nil {
		return nil, err
	}
	stated := stash.Fields{}
	if err := json.Unmarshal(raw, &stated); err != nil {
		return nil, err
	}
	shape := map[string]any{}
	for _, f := range stash.FieldsOf(stash.WhatProject) {
		shape[cmp.Or(f.JSON, f.Name)] = stated[f.Name]
	}
	return shape, nil
}

// PieceShape is the JSON shape of a piece: as the ledger has it, with the
// project in its plan as ProjectShape has it.
func PieceShape(p stash.Piece) (map[string]any, error) {
	raw, err := json.Marshal(p)
	if err != nil {
		return nil, err
	}
	shape := map[string]any{"planned_at": nil, "started_at": nil, "ended_at": nil, "plan": nil,
		"finish": nil}
	if err := json.Unmarshal(raw, &shape); err != nil {
		return nil, err
	}
	if plan, ok := shape["plan"].(map[string]any); ok {
		plan["spec"], err = ProjectShape(p.Plan.Spec)
	}
	if finish, ok := shape["finish"].(map[string]any); ok {
		var thrums []StashThrums
		for _, t := range p.Finish.Thrums {
			thrums = append(thrums, StashThrums{t.Package, t.Mass})
		}
		finish["thrums"] = thrums
	}
	return shape, err
}

// YarnShape is the JSON shape of a yarn's facts; null is not recorded.
type YarnShape struct {
	ID           stash.YarnID                 `json:"id"`
	Name         string                       `json:"name"`
	Fibre        []fibreShare                 `json:"fibre"`
	Mtex         *measure.Count               `json:"mtex"`
	CountWritten *string                      `json:"count_written"`
	CountSource  *string                      `json:"count_source"`
	Construction []string                     `json:"construction"`
	Fit          *string                      `json:"fit"`
	Shedding     *int                         `json:"shedding"`
	Stretch      *string                      `json:"stretch"`
	Shrinks      *string                      `json:"shrinks"`
	Wash         *string                      `json:"wash"`
	Bleeds       *string                      `json:"bleeds"`
	Odour        *string                      `json:"odour"`
	Hazards      []string                     `json:"hazards"`
	PutUpMg      *measure.Mass                `json:"putup_mg"`
	Source       *string                      `json:"source"`
	Note         *string                      `json:"note"`
	Disputed     map[string][]json.RawMessage `json:"disputed"`
}

// YarnShapeOf is the JSON shape of a yarn.
func YarnShapeOf(y stash.Yarn) YarnShape {
	shape := YarnShape{
		ID: y.ID, Name: y.Name, Fibre: Shares(y), Construction: y.Construction,
		Fit: stash.Known(string(y.Fit)), Shedding: y.Shedding,
		Stretch: stash.Known(string(y.Stretch)), Shrinks: stash.Known(string(y.Shrinks)),
		Wash: stash.Known(WashWords(y.Wash)), Bleeds: stash.Known(string(y.Bleeds)),
		Odour: stash.Known(y.Odour), Hazards: y.Hazards, Source: stash.Known(y.Source),
		Note: stash.Known(y.Note), Disputed: y.Disputed,
	}
	if shape.Disputed == nil {
		shape.Disputed = map[string][]json.RawMessage{}
	}
	if c := y.Count; c != nil && c.Count != 0 {
		shape.Mtex, shape.CountWritten, shape.CountSource = &c.Count, stash.Known(c.Written),
			stash.Known(c.Source.String())
	}
	if y.PutUp != 0 {
		shape.PutUpMg = &y.PutUp
	}
	return shape
}
