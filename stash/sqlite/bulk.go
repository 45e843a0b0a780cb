package sqlite

import "endsmeet/stash"

// chunk is how many events are decoded at once, beside the one who stores and folds.
const chunk = 256

// decoded is a run of decoded events, or why one of them cannot be read.
type decoded struct {
	events []stash.Event
	err    error
}

// load decodes, stores and folds the events of a run from the known-th on.
func (tx *Tx) load(lane int64, in Incoming, chains []stash.Chain, known int) error {
	last, err := tx.lastClock()
	if err != nil {
		return err
	}
	stop := make(chan struct{})
	defer close(stop)
	tx.clock = last
	for part := range in.decode(chains, known, stop) {
		if part.err != nil {
			return part.err
		}
		if err := tx.ctx.Err(); err != nil {
			return err
		}
		for _, e := range part.events {
			tx.clock = tx.clock.Seen(e.Clock, tx.now)
			if err := tx.append(lane, e); err != nil {
				return err
			}
		}
		if err := tx.spillMany(); err != nil {
			return err
		}
	}
	return nil
}

// decode reads lines in a goroutine of its own, until all are read or stop is
// closed.
func (in Incoming) decode(chains []stash.Chain, known int, stop <-chan struct{}) <-chan decoded {
	parts := make(chan decoded, 4)
	go func() {
		defer close(parts)
		for from := known; from < len(in.Lines); from += chunk {
			part := in.decodePart(chains, from, min(from+chunk, len(in.Lines)))
			select {
			case parts <- part:
			case <-stop:
				return
			}
		}
	}()
	return parts
}

func (in Incoming) decodePart(chains []stash.Chain, from, to int) decoded {
	events := make([]stash.Event, to-from)
	for i := range events {
		e := &events[i]
		e.Lane, e.Seq, e.Chain, e.Raw = in.Lane, in.First+int64(from+i), chains[from+i],
			in.Lines[from+i]
		var err error
		if e.Line, err = stash.DecodeLine(e.Raw); err != nil {
			refusal := stash.Refuse(stash.CodeNewer, "install a newer version",
				"event %d of lane %s cannot be read", e.Seq, stash.Clean(string(e.Lane)))
			refusal.Cause = err
			return decoded{err: refusal}
		}
	}
	return decoded{events: events}
}
