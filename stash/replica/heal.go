package replica

import (
	"context"
	"errors"
	"maps"
	"slices"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/sqlite"
)

// lookEvery is how often the whole place is looked over though nothing seems
// to be missing: what only a new machine needs, nobody else would miss.
const lookEvery = 24 * time.Hour

// heal looks into the lanes of which the place may lack something, reads what
// lies there of them, and puts back what is here and is not whole there: of
// whatever lane, whatever the cause.
func (x *exchange) heal(ctx context.Context) error {
	idle := x.o.Now().Sub(x.v.Looked).Abs() < lookEvery
	if len(x.suspects) == 0 && !x.formatLost && idle {
		return nil
	}
	if err := x.recognise(ctx); err != nil {
		return err
	}
	i := x.inspection()
	i.suspects = x.suspects
	if err := i.look(ctx); err != nil {
		return err
	}
	err := x.change(ctx, func(v *vault, _ *sqlite.Tx) error {
		v.Looked = x.o.Now()
		return nil
	})
	if err != nil || len(i.lack)+len(i.out.Lost)+len(i.out.Bad) == 0 && i.formatGood {
		return err
	}
	before := i.traffic.Puts
	if err := i.mend(ctx); err != nil {
		return err
	}
	x.report.Behind = append(x.report.Behind, i.out.Missing...)
	x.report.PutBack += i.traffic.Puts - before
	return nil
}

// retry looks again at what was refused in an earlier run, and forgets of it
// what is gone, good, or here in another way.
func (x *exchange) retry(ctx context.Context) error {
	var noted []sqlite.Bad
	err := x.o.Store.View(ctx, func(tx *sqlite.Tx) (err error) {
		noted, err = tx.Quarantined()
		return err
	})
	if err != nil {
		return err
	}
	for _, q := range noted {
		stands, err := x.standsBad(ctx, remote.Name(q.Name))
		if err != nil {
			return err
		}
		if stands {
			continue
		}
		if err := x.o.Store.Act(ctx,
			func(tx *sqlite.Tx) error { return tx.Quarantine(q.Name, "") }); err != nil {
			return err
		}
	}
	return nil
}

// standsBad says that an object that was refused is still there and still fails
// its check, and that what it should hold is not here.
func (x *exchange) standsBad(ctx context.Context, name remote.Name) (bool, error) {
	held := false
	err := x.o.Store.View(ctx, func(tx *sqlite.Tx) (err error) {
		if n, ok := parseSeg(name); ok {
			held, err = tx.Holds(n.lane, n.last, n.chain)
		}
		return err
	})
	if err != nil || held {
		return false, err
	}
	data, err := x.Get(ctx, name)
	if errors.Is(err, remote.NotFound) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	return x.v.fails(name, data), nil
}

// fails says whether an object fails the checks of its kind.
func (v *vault) fails(name remote.Name, data []byte) bool {
	var err error
	if n, ok := parseDevice(name); ok {
		_, err = v.openDevice(n, data)
	} else if n, ok := parseKey(name); ok {
		err = wholeObject(name, n.object, data)
	} else if n, ok := parsePicture(name); ok {
		err = wholeObject(name, n.object, data)
	} else if _, ok := parseHead(name); ok {
		_, err = v.openHead(name, data)
	} else {
		_, err = v.unseal(name, data)
	}
	return err != nil
}

// tell puts a new head of this replica's lane where the one that stands says
// less than was seen since; or where something is not to be had, so that others
// look whether they can put it back.
func (x *exchange) tell(ctx context.Context) error {
	badSegment := slices.ContainsFunc(x.report.Bad,
		func(b BadObject) bool { _, ok := parseSeg(b.Name); return ok })
	lacking := badSegment || len(x.report.Gaps)+len(x.report.Later) > 0
	told := true
	err := x.o.Store.View(ctx, func(tx *sqlite.Tx) error {
		seen, _, err := x.ownSeen(tx)
		told = err == nil && maps.Equal(seen, x.v.Told.Seen)
		return err
	})
	if err != nil || told && !lacking {
		return err
	}
	err = x.change(ctx, func(v *vault, tx *sqlite.Tx) error {
		own, err := x.o.Store.Signer(false)
		if err != nil {
			return err
		}
		if err := x.enrol(tx, v); err != nil { // the lane may be new since a moment
			return err
		}
		_, lane, err := x.ownSeen(tx)
		if err != nil {
			return err
		}
		d := due{lane: lane, tip: sqlite.End{Seq: lane.Last, Chain: lane.Chain}, follows: true}
		return x.replaceHead(tx, v, d, own)
	})
	if err != nil {
		return err
	}
	return x.finish(ctx)
}

// ownSeen is this replica's open lane, and what was seen here of the others.
func (x *exchange) ownSeen(tx *sqlite.Tx) (map[laneTag]int64, sqlite.Lane, error) {
	lanes, err := tx.Lanes()
	if err != nil {
		return nil, sqlite.Lane{}, err
	}
	own, err := x.o.Store.Signer(false)
	if err != nil {
		return nil, sqlite.Lane{}, err
	}
	mine := sqlite.Lane{Name: own.Lane, Key: own.Public(), Own: true}
	for _, l := range lanes {
		if l.Name == own.Lane {
			mine = l
		}
	}
	seen, err := x.seenBy(tx, x.v, own.Lane, lanes)
	return seen, mine, err
}

// seenBy is what a head of lane tells of the other lanes: of those that this
// replica writes, what it has sealed of them.
func (x *exchange) seenBy(tx *sqlite.Tx, v *vault, lane stash.Lane,
	lanes []sqlite.Lane) (map[laneTag]int64, error) {
	published, err := tx.Published()
	if err != nil {
		return nil, err
	}
	marks := map[stash.Lane]int64{}
	for _, p := range published {
		marks[p.Lane] = p.Mark.Seq
	}
	for i, l := range lanes {
		if l.Own {
			lanes[i].Last = marks[l.Name]
		}
	}
	return v.seenOf(lane, lanes), nil
}
