package main

import (
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/remote/dir"
	"endsmeet/stash/remote/open"
	"endsmeet/stash/remote/where"
	"endsmeet/stash/replica"
	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/replica/format"
)

const syncHelp = `WHERE is a folder (a stick, a network share, a folder that some service
keeps the same) or, in quotes, s3://bucket/prefix?endpoint=https://host.
The pass-phrase is asked for, or taken from ENDSMEET_PASSPHRASE.
Credentials of an object store come from AWS_ACCESS_KEY_ID and
AWS_SECRET_ACCESS_KEY or from ~/.aws/credentials, and are never kept here.
All that is there is encrypted. What is told about people stays here unless
` + "`endsmeet config people.sync=yes`."

func syncCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "sync", Category: groupExchange,
		Usage:       "Exchange with your other machines.",
		Description: "On its own, `endsmeet sync` exchanges now.\n\n" + syncHelp,
		Action:      action(e, 0, 0, syncNow),
		Subcommands: []*cli.Command{
			{Name: "setup", ArgsUsage: "WHERE", Usage: "Make a shared place for this stash.",
				Description: syncHelp, Flags: []cli.Flag{nameFlag()},
				Action: action(e, 1, 1, syncSetup)},
			{Name: "join", ArgsUsage: "WHERE",
				Usage: "Join a shared place that another machine made.", Description: syncHelp,
				Flags: []cli.Flag{nameFlag()}, Action: action(e, 1, 1, syncJoin)},
			{Name: "status", Usage: "Show which machines take part, what waits, and what disagrees.", Action: action(e, 0, 0, syncStatus)},
			syncDevicesCommand(e),
			syncSettleCommand(e),
			{Name: "leave", Usage: "Stop exchanging; nothing is deleted.", Flags: []cli.Flag{
				&cli.BoolFlag{Name: "force", Usage: "leave although something has not been sent"},
			}, Action: action(e, 0, 0, syncLeave)},
			{Name: "check", Usage: "Compare the shared place with this machine.", Flags: []cli.Flag{
				&cli.BoolFlag{Name: "read", Usage: "read and verify every file"},
			}, Action: action(e, 0, 0, syncCheck)},
			{Name: "repair", Usage: "Put back what the shared place lost and this machine has.",
				Flags: []cli.Flag{
					&cli.BoolFlag{Name: "refill",
						Usage: "fill a place that was emptied, although nothing there shows that it is the shared place"},
				}, Action: action(e, 0, 0, syncRepair)},
			{Name: "fingerprint", Usage: "Show words to compare with another machine.",
				Action: action(e, 0, 0, syncFingerprint)},
		},
	}
}

// nameFlag names this machine for the others.
func nameFlag() cli.Flag {
	return &cli.StringFlag{Name: "name", Usage: "call this machine `NAME`, such as studio"}
}

// replica is this stash as it takes part in the exchange.
func (k *call) replica() (*replica.Replica, error) {
	s, err := k.open()
	if err != nil {
		return nil, err
	}
	o := exchange.Options{Store: s, Now: k.env.now, Work: k.env.work, Progress: k.syncBar()}
	o.Open = func(address, owner string) (exchange.Place, error) {
		return k.env.openPlace(address,
			owner, s.Path())
	}
	return replica.New(o), nil
}

// openPlace opens the shared place at an address. The stash itself must not
// lie in it: whatever keeps the folder the same would tear it apart.
func (e *environment) openPlace(address, owner, stashPath string) (exchange.Place, error) {
	w, err := where.Parse(address, e.getenv)
	if err != nil {
		return exchange.Place{}, stash.Refuse(stash.CodeUsage, where.HintOf(err), "%v", err)
	}
	if w.Folder != "" {
		inside, err := dir.Holds(w.Folder, stashPath)
		if err == nil && inside {
			return exchange.Place{},
				stash.Refuse(stash.CodeRefused, "move the stash out of it, or share another folder",
					"the stash %s is in the folder that is to be shared", stashPath)
		}
	}
	r, err := open.Open(w, open.Options{Owner: owner})
	return exchange.Place{Remote: r, Address: w.String(), Folder: w.Folder != ""}, err
}

// SyncBar shows a bar for each long step of an exchange; nothing where nobody
// looks.
func (k *call) syncBar() func(step string, done, total int64) {
	if !k.env.stderrTTY || k.asJSON() {
		return nil
	}
	return show.SyncBar(k.env.stderr, time.Now)
}

func badShapes(bad []format.BadObject) []show.BadObject {
	var out []show.BadObject
	for _, b := range bad {
		out = append(out, show.BadObject{Object: string(b.Name), Check: string(b.Step),
			Problem: b.Problem})
	}
	return out
}

func syncNow(k *call) error {
	r, err := k.replica()
	if err != nil {
		return err
	}
	report, err := k.exchange(r)
	if err != nil {
		return err
	}
	questions, err := r.Ask(k.ctx)
	if err != nil {
		return err
	}
	err = k.told(k.answer(k.syncedShape(report, questions), func(w io.Writer) {
		fmt.Fprintln(w, show.ExchangedWords(report))
		if n := questions; n > 0 {
			fmt.Fprintf(w, "%s to answer: `endsmeet sync status` shows what\n",
				measure.Counted(n, "question"))
		}
	}))
	if err != nil {
		return err
	}
	return missing(report)
}

// missing refuses, after all else was done, while something of somebody is not
// to be had: whose, how much, and who has seen it.
func missing(r exchange.Report) error {
	var parts []string
	for _, g := range r.Gaps {
		parts = append(parts, fmt.Sprintf("%s of %s%s",
			measure.Counted(int(g.To-g.From+1), "event"), stash.Clean(g.Name),
			show.HolderWords(g.Holders)))
	}
	if len(parts) > 0 {
		return stash.Refuse(stash.CodeRefused,
			"a folder may still be filling; else run `endsmeet sync` on a machine that has them, which puts them back",
			"not in the shared place: %s", strings.Join(parts, ", "))
	}
	if r.Locked != "" {
		return stash.Refuse(stash.CodeRefused,
			"`endsmeet sync leave --force`, then join again with the new pass-phrase",
			"%s has changed the key of the shared place and shut this machine out",
			stash.Clean(r.Locked))
	}
	if n := len(r.Later); n > 0 {
		return stash.Refuse(stash.CodeRefused,
			"run `endsmeet sync` on the machine that wrote them, and here again",
			"%s in the shared place cannot be read yet: who wrote them is not known here",
			measure.Counted(n, "file"))
	}
	return nil
}

// syncedShape is an exchange as JSON; lists that are empty are written as such.
func (k *call) syncedShape(r exchange.Report, questions int) show.Synced {
	shape := show.Synced{Report: r, Bad: badShapes(append(r.Bad, r.Later...)),
		Ahead:     map[string]int64{},
		Disagrees: questions}
	for name, by := range r.Ahead {
		shape.Ahead[name] = int64(by.Seconds())
	}
	shape.Gaps, shape.Behind = r.Gaps, r.Behind
	shape.Twins, shape.Shut = r.Twins, r.Shut
	return shape
}

// noteReport tells what is not as it should be, on standard error.
func (k *call) noteReport(r exchange.Report) {
	for range r.Twins {
		k.note("a copy of this stash, or this one before a backup was restored, writes under the same name: this one goes on under a new name, and nothing is lost")
	}
	for _, b := range append(r.Bad, r.Later...) {
		k.note("not taken in: %s", b.Error())
	}
	for _, g := range r.Behind {
		k.note("the shared place had lost %s; put back", show.LostWords(g))
	}
	if len(r.Behind) == 0 && r.PutBack > 0 {
		k.note("put back what the shared place had lost: %s",
			measure.Counted(r.PutBack, "file"))
	}
	for _, name := range slices.Sorted(maps.Keys(r.Ahead)) {
		k.note("the clock of %s was %s than this one, or this one is late\n  if that one was wrong: %s",
			name, show.AwayWords(r.Ahead[name]),
			stash.Command("redate", "DATE", "DATE")+" --machine "+stash.Quote(name))
	}
	for _, name := range slices.Compact(slices.Sorted(slices.Values(r.Shut))) {
		k.note("%s was removed and still writes; that is not taken in", name)
	}
	if r.TwoKeys {
		k.note("two machines changed the key at the same time; run `endsmeet sync devices remove` once more, or who was removed by one may read on")
	}
	if r.Strange > 0 && r.Locked == "" {
		k.note("left alone in the shared place: %s sealed with a key that no machine here has told of", measure.Counted(r.Strange, "file"))
	}
	if r.Ignored > 0 {
		k.note("left alone in the shared place: %s not ours: %s",
			measure.CountedAs(r.Ignored, "name that is", "names that are"),
			stash.Clean(strings.Join(r.Examples[:min(3, len(r.Examples))], ", ")))
	}
}

func syncLeave(k *call) error {
	r, err := k.replica()
	if err != nil {
		return err
	}
	if err := r.Leave(k.ctx, k.Bool("force")); err != nil {
		return err
	}
	return k.told(k.answer(map[string]bool{"left": true}, func(w io.Writer) {
		fmt.Fprintln(w, "this stash exchanges with no shared place any more; what is there and here stays")
		fmt.Fprintln(w, "to shut this machine out, run `endsmeet sync devices remove` on another one")
	}))
}

func syncFingerprint(k *call) error {
	r, err := k.replica()
	if err != nil {
		return err
	}
	p, err := r.Fingerprint(k.ctx)
	if err != nil {
		return err
	}
	return k.told(k.answer(p, func(w io.Writer) {
		fmt.Fprintf(w, "shared place  %s\nevents        %s  (%d)\n", p.Vault, p.Events, p.Count)
		fmt.Fprintln(w, "Read them out at another machine right after both have synced. The first must\nbe the same always; if the second differs, one of them lacks something, or the\nshared place was put back to an older state.")
	}))
}

// absolutePlace makes a relative folder absolute, for messages.
func absolutePlace(text string) string {
	if strings.Contains(text, "://") {
		return text
	}
	if path, err := filepath.Abs(text); err == nil {
		return path
	}
	return text
}

// folderMissing says that WHERE is a folder and is not there.
func folderMissing(text string) bool {
	_, err := os.Stat(absolutePlace(text))
	return !strings.Contains(text, "://") && os.IsNotExist(err)
}
