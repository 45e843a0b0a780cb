package replica

import (
	"context"
	"strings"
	"testing"

	"endsmeet/stash/remote"
	"endsmeet/stash/remote/remotetest"
)

// narrow keeps what the meanest file system keeps: names are told apart whatever
// their case, each part has at most 100 bytes (of the 143 that encrypting file
// systems leave; their own documentation), and none has what Windows forbids.
type narrow struct {
	*remotetest.Memory
	t    *testing.T
	seen map[string]remote.Name
	kind map[string]int
}

func (n *narrow) Put(ctx context.Context, name remote.Name, data []byte) error {
	folded := strings.ToUpper(string(name))
	if other, ok := n.seen[folded]; ok && other != name {
		n.t.Errorf("%s and %s are one where cases are", name, other)
	}
	n.seen[folded] = name
	n.kind[strings.SplitN(string(name), "/", 2)[0]]++
	for part := range strings.SplitSeq(string(name), "/") {
		if len(part) > 100 || strings.ContainsAny(part, `<>:"\|?* `) ||
			strings.HasSuffix(part, ".") {
			n.t.Errorf("%s is no name everywhere", name)
		}
	}
	return n.Memory.Put(ctx, name, data)
}

func TestEveryNameThatIsPutIsANameOnEveryFileSystem(t *testing.T) {
	ctx := context.Background()
	place := &narrow{remotetest.NewMemory(), t, map[string]remote.Name{}, map[string]int{}}
	machines := several(t, 3, place)
	a, b := machines[0], machines[1]
	_, err := a.Invite(ctx)
	a.must(err)
	a.fan = 4
	a.open()
	for range 9 {
		a.yarn("one more")
		a.quiet()
	}
	_, err = a.Remove(ctx, string(machines[2].lane()[:8]), "a heddle too far north")
	a.must(err)
	meetLoosely(a, b)
	same(t, a, b)
	for _, kind := range []string{"seg", "head", "dev", "keys", "format.json"} {
		if place.kind[kind] == 0 {
			t.Errorf("nothing was put under %s", kind)
		}
	}
}
