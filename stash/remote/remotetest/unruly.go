package remotetest

import (
	"context"
	"errors"
	"maps"
	"math/rand/v2"
	"slices"
	"sync"

	"endsmeet/stash/remote"
)

// Trouble is one way in which a shared place can fail those who use it.
type Trouble string

// The troubles. Those that Honest lists keep to the contract of
// remote.Remote; the others break it, as syncing services, damaged media and
// stores with slow indexes do.
const (
	PutFails       Trouble = "put fails, nothing stored"
	PutStoredFails Trouble = "put fails, stored all the same"
	PutLate        Trouble = "put times out, stored later"
	PutLost        Trouble = "put succeeds, nothing stored"
	PutCut         Trouble = "put succeeds, cut short"
	GetFails       Trouble = "get fails"
	GetCut         Trouble = "get succeeds, cut short"
	GetGone        Trouble = "get finds nothing though it is there"
	ListFails      Trouble = "list fails"
	ListLate       Trouble = "list shows new names late"
	ListStale      Trouble = "list still shows what was deleted"
	ListRepeats    Trouble = "list repeats names"
	ListLacks      Trouble = "list lacks names"
	ListBreaks     Trouble = "list ends after a thousand names"
	DeleteFails    Trouble = "delete fails, nothing done"
	DeleteDone     Trouble = "delete fails, done all the same"
)

// Honest are the troubles after which nothing stored is lost or damaged and
// nothing shown is untrue: a replica must come through them without finding
// anything to repair.
var Honest = []Trouble{PutFails, PutStoredFails, PutLate, GetFails, ListFails, ListLate, ListStale,
	DeleteFails, DeleteDone}

// All are all troubles.
var All = append(slices.Clone(Honest), PutLost, PutCut, GetCut, GetGone, ListRepeats, ListLacks,
	ListBreaks)

// breakAt is where a broken list ends: the page length of object stores.
const breakAt = 1000

// lateCalls is for how many calls a name is shown late or stale, and how many
// calls a late put waits.
const lateCalls = 8

// errTrouble is the cause of every error made here.
var errTrouble = errors.New("trouble ordered by the test")

// Unruly wraps a place and makes troubles. The same source of chance and the
// same calls make the same troubles. It is safe for concurrent use.
type Unruly struct {
	under remote.Remote

	mu     sync.Mutex
	chance *rand.Rand
	odds   map[Trouble]int // in a thousand
	did    map[Trouble]int
	calls  int
	fresh  map[remote.Name]int // names put, with the call that did
	gone   map[remote.Name]int // names deleted, with the call that did
	late   []latePut
}

type latePut struct {
	due  int // the call at which it is stored
	name remote.Name
	data []byte
}

// NewUnruly wraps under. odds give the chance of each trouble in a thousand
// calls of its kind.
func NewUnruly(under remote.Remote, odds map[Trouble]int, chance *rand.Rand) *Unruly {
	return &Unruly{under: under, chance: chance, odds: maps.Clone(odds), did: map[Trouble]int{},
		fresh: map[remote.Name]int{}, gone: map[remote.Name]int{}}
}

// Evenly returns the same odds for each of the troubles.
func Evenly(inThousand int, troubles ...Trouble) map[Trouble]int {
	odds := map[Trouble]int{}
	for _, trouble := range troubles {
		odds[trouble] = inThousand
	}
	return odds
}

// Did returns how often each trouble was made: a test that wants one to
// matter asserts that it happened.
func (u *Unruly) Did() map[Trouble]int {
	u.mu.Lock()
	defer u.mu.Unlock()
	return maps.Clone(u.did)
}

// Settle stores what was late, shows what was hidden, and makes no more trouble.
func (u *Unruly) Settle(ctx context.Context) error {
	u.mu.Lock()
	defer u.mu.Unlock()
	u.odds = map[Trouble]int{}
	u.fresh, u.gone = map[remote.Name]int{}, map[remote.Name]int{}
	return u.store(ctx, true)
}

// store stores the late puts that are due, or all of them.
func (u *Unruly) store(ctx context.Context, all bool) error {
	var waiting []latePut
	for _, put := range u.late {
		if !all && put.due > u.calls {
			waiting = append(waiting, put)
			continue
		}
		if err := u.under.Put(ctx, put.name, put.data); err != nil {
			return err
		}
		u.fresh[put.name] = u.calls
	}
	u.late = waiting
	return nil
}

// makes decides whether a trouble happens now, and counts it.
func (u *Unruly) makes(trouble Trouble) bool {
	if odds := u.odds[trouble]; odds == 0 || u.chance.IntN(1000) >= odds {
		return false
	}
	u.did[trouble]++
	return true
}

func fails(op string, name remote.Name) error {
	return &remote.Error{Kind: remote.Retry, Op: op, Object: string(name), Place: "an unruly place",
		Cause: errTrouble}
}

// begin counts the call and stores what is due.
func (u *Unruly) begin(ctx context.Context) error {
	u.calls++
	return u.store(ctx, false)
}

// Put stores data, or makes trouble.
func (u *Unruly) Put(ctx context.Context, name remote.Name, data []byte) error {
	u.mu.Lock()
	defer u.mu.Unlock()
	if err := u.begin(ctx); err != nil {
		return err
	}
	switch {
	case u.makes(PutFails):
		return fails("put", name)
	case u.makes(PutLate):
		u.late = append(u.late, latePut{u.calls + 1 + u.chance.IntN(lateCalls), name,
			slices.Clone(data)})
		return fails("put", name)
	case u.makes(PutLost):
		return nil
	}
	if len(data) > 0 && u.makes(PutCut) {
		data = data[:u.chance.IntN(len(data))]
	}
	if err := u.under.Put(ctx, name, data); err != nil {
		return err
	}
	u.fresh[name] = u.calls
	delete(u.gone, name)
	if u.makes(PutStoredFails) {
		return fails("put", name)
	}
	return nil
}

// Get reads, or makes trouble.
func (u *Unruly) Get(ctx context.Context, name remote.Name) ([]byte, error) {
	u.mu.Lock()
	defer u.mu.Unlock()
	if err := u.begin(ctx); err != nil {
		return nil, err
	}
	if u.makes(GetFails) {
		return nil, fails("get", name)
	}
	data, err := u.under.Get(ctx, name)
	switch {
	case err != nil:
		return nil, err
	case u.makes(GetGone):
		return nil, &remote.Error{Kind: remote.NotFound, Op: "get", Object: string(name),
			Cause: errTrouble}
	case len(data) > 0 && u.makes(GetCut):
		return data[:u.chance.IntN(len(data))], nil
	}
	return data, nil
}

// Delete deletes, or makes trouble.
func (u *Unruly) Delete(ctx context.Context, name remote.Name) error {
	u.mu.Lock()
	defer u.mu.Unlock()
	if err := u.begin(ctx); err != nil {
		return err
	}
	if u.makes(DeleteFails) {
		return fails("delete", name)
	}
	_, missing := u.under.Get(ctx, name)
	if err := u.under.Delete(ctx, name); err != nil {
		return err
	}
	if missing == nil {
		u.gone[name] = u.calls
	}
	if u.makes(DeleteDone) {
		return fails("delete", name)
	}
	return nil
}
