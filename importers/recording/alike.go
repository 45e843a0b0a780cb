package recording

import (
	"encoding/json"
	"fmt"

	"endsmeet/importers/intake"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// likeness asks about rows that may be of a yarn, or a package, that is known
// under another name or came in by another way.
type likeness struct {
	names stash.Names
	// byHand are the packages that came from no sheet, by what makes two alike.
	byHand map[string]stash.Package
}

// newLikeness starts with what is in a stash.
func newLikeness(tx *sqlite.Tx, yarns []stash.Yarn) (*likeness, error) {
	a := &likeness{byHand: map[string]stash.Package{}}
	called := map[stash.YarnID]string{}
	for _, y := range yarns {
		a.names.Add(y.Name)
		called[y.ID] = y.Name
	}
	packages, err := tx.Packages(true)
	for _, p := range packages {
		if p.Row == nil && p.Received > 0 {
			a.byHand[p.Likeness(called[p.Yarn], p.Received)] = p
		}
	}
	return a, err
}

// newYarn asks about a yarn that a row has made, where another has the name or
// nearly has it.
func (a *likeness) newYarn(e *intake.Entry, name string) {
	near, found := a.names.Near(name)
	a.names.Add(name)
	switch {
	case stash.Fold(name) != stash.Fold(e.Name):
		a.ask(e, fmt.Sprintf("%s is there already, with another fibre, count or maker; this came in as %s. Are they one yarn?", e.Name, name), "set %s "+stash.Quote("yarn="+e.Name))
	case found:
		a.ask(e, fmt.Sprintf("%s is nearly the name of %s. Are they one yarn?", name, near),
			"set %s "+stash.Quote("yarn="+near))
	}
}

// newPackage asks about a row's package that is just like one that somebody
// recorded by hand.
func (a *likeness) newPackage(e *intake.Entry, yarn string, i int) error {
	if len(a.byHand) == 0 {
		return nil
	}
	net := e.Packages[i].Net()
	if net == nil {
		return nil
	}
	var facts stash.PackageFacts
	raw, err := json.Marshal(e.Packages[i].Fields)
	if err == nil {
		err = json.Unmarshal(raw, &facts)
	}
	key := facts.Likeness(yarn, *net)
	if p, found := a.byHand[key]; found && err == nil {
		delete(a.byHand, key)
		a.ask(e, p.Label()+" is just like it, and was recorded by hand. Are they one?",
			"retire %s --leftover lost")
	}
	return err
}

func (a *likeness) ask(e *intake.Entry, text, how string) {
	e.Questions = append(e.Questions, intake.Question{Text: text, How: how})
}
