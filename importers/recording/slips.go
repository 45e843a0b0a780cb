package recording

import (
	"encoding/json"
	"errors"
	"slices"

	"endsmeet/importers"
	"endsmeet/importers/intake"
	"endsmeet/stash"
)

// slip keeps a row whose value looks like a slip among the bad ones, with the place of
// the first column of the fields that hold it; false where nothing keeps the value from
// being recorded.
func (im *tableRun) slip(rec *importers.Record, slip string, fields ...importers.Field) (bool,
	error) {
	err := im.o.AsRead(slip)
	if err == nil || !im.o.Correct {
		return false, nil
	}
	hint := ""
	if insist := stash.Insist(""); errors.As(err, &insist) {
		hint = insist.Error()
	}
	problem := &importers.Problem{File: im.table.Grid.File, Sheet: im.table.Grid.Sheet,
		Line: rec.Line, Reason: slip, Hint: hint}
	if i := slices.IndexFunc(im.table.Columns, func(c importers.Column) bool {
		return slices.Contains(fields, c.Field)
	}); i >= 0 {
		problem.Column, problem.Header = im.table.Columns[i].Col, im.table.Columns[i].Heading
	}
	return true, im.o.Bad.add(&importers.RowError{Line: rec.Line,
		Problems: []*importers.Problem{problem}})
}

// weightSlips asks about the changed weights of a row's packages.
func (im *tableRun) weightSlips(e *intake.Entry, rec *importers.Record) (bool, error) {
	for i := range e.Packages {
		p, found, err := im.tx.RowPackage(e.Row(i).Key)
		if err != nil {
			return false, err
		}
		if !found {
			continue
		}
		if _, weighed := rowWeight(e, i, p, rec); weighed {
			if bad, err := im.weightSlip(rec, p, e.Packages[i]); bad || err != nil {
				return bad, err
			}
		}
	}
	return false, nil
}

// weightSlip asks about a changed weight that contradicts the ledger, read with the tare
// that the row gives.
func (im *tableRun) weightSlip(rec *importers.Record, p stash.Package,
	row intake.Package) (bool, error) {
	if of := im.o.Weights; of != WeightsReceived && of != WeightsNow {
		return false, nil // what the weight is of is asked about first
	}
	if raw := row.Fields["tare"]; raw != nil && rec.Tare != nil {
		p.Tare = nil
		if err := json.Unmarshal(raw, &p.Tare); err != nil {
			return false, err
		}
	}
	reading := row.Reading
	fields := []importers.Field{importers.FieldNet, importers.FieldLength}
	if reading.Gross != nil {
		fields = []importers.Field{importers.FieldGross}
	}
	return im.slip(rec, p.Suspect(im.weighing(p, reading), im.o.Units), fields...)
}

// countSlip asks about a count that contradicts the yarn's.
func (im *tableRun) countSlip(rec *importers.Record, y stash.Yarn, fields stash.Fields) (bool,
	error) {
	settings, err := im.tx.Settings()
	if err != nil {
		return false, err
	}
	return im.slip(rec, y.CountClash(fields, settings.Doubts, im.o.Units), importers.FieldCount)
}

// weighing is what a changed weight of a row records, as --weights says.
func (im *tableRun) weighing(p stash.Package, reading stash.Reading) stash.Move {
	if im.o.Weights == WeightsReceived {
		return stash.Move{Reading: reading, At: p.Arrived, Receipt: true}
	}
	return stash.Move{Reading: reading, At: im.o.At}
}
