package open_test

import (
	"os"
	"testing"

	"endsmeet/stash/remote"
	"endsmeet/stash/remote/dir"
	"endsmeet/stash/remote/object"
	"endsmeet/stash/remote/open"
	"endsmeet/stash/remote/where"
)

// parse reads an address.
func parse(t *testing.T, text string) where.Where {
	t.Helper()
	w, err := where.Parse(text, os.Getenv)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func TestAddressDecidesWhichPlaceIsOpened(t *testing.T) {
	var points []string
	options := open.Options{Owner: "me",
		Fault: func(point string) { points = append(points, point) }}
	r, err := open.Open(parse(t, t.TempDir()), options)
	if _, ok := r.(*dir.Dir); !ok || err != nil {
		t.Fatalf("%T, %v", r, err)
	}
	if err := r.Put(t.Context(), "head/a", nil); err != nil || len(points) == 0 {
		t.Fatalf("%v, points %q", err, points)
	}
	r, err = open.Open(parse(t, "s3://yarn-box/a?endpoint=http://127.0.0.1:1"), options)
	if _, ok := r.(*object.Store); !ok || err != nil {
		t.Fatalf("%T, %v", r, err)
	}
}

func TestWrongOptionsGiveNoPlace(t *testing.T) {
	r, err := open.Open(parse(t, t.TempDir()), open.Options{Owner: "../x"})
	if r != nil || remote.KindOf(err) != remote.Invalid {
		t.Fatalf("%v, %v", r, err)
	}
}
