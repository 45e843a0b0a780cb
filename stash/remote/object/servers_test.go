package object_test

import (
	"bytes"
	"context"
	"fmt"
	"net/http"
	"os"
	"sync/atomic"
	"testing"
	"time"

	"endsmeet/stash/remote"
	"endsmeet/stash/remote/object"
	"endsmeet/stash/remote/remotetest"
)

// TestMain ends the servers that the tests started.
func TestMain(m *testing.M) {
	code := m.Run()
	remotetest.StopServers()
	os.Exit(code)
}

// places counts the parts of the bucket that tests have to themselves.
var places atomic.Int64

// placeAt returns the options for a part of the bucket that no other test uses.
func placeAt(s *remotetest.Running) object.Options {
	return object.Options{Bucket: remotetest.Bucket, Endpoint: s.Endpoint, Wait: time.Millisecond,
		Prefix: fmt.Sprintf("place-%d", places.Add(1))}
}

// open returns a client.
func open(t *testing.T, options object.Options) *object.Store {
	t.Helper()
	store, err := object.New(options)
	if err != nil {
		t.Fatal(err)
	}
	return store
}

// plant stores an object under any key below the prefix.
func plant(t *testing.T, s *remotetest.Running, prefix, name string, data []byte) {
	t.Helper()
	must(t, s.Plant(t.Context(), prefix+"/"+name, data))
}

func TestObjectKeepsTheContract(t *testing.T) {
	remotetest.EachServer(t, func(t *testing.T, s *remotetest.Running) {
		remotetest.Run(t, func(*testing.T) remotetest.Place {
			options := placeAt(s)
			return remotetest.Place{
				Sequences: sequences(),
				Open:      func(t *testing.T) remote.Remote { return open(t, options) },
				Plant: func(t *testing.T, name string, data []byte) {
					plant(t, s, options.Prefix, name, data)
				},
			}
		})
	})
}

// trip is a transport under a test's control.
type trip func(*http.Request) (*http.Response, error)

// RoundTrip calls the function.
func (f trip) RoundTrip(r *http.Request) (*http.Response, error) { return f(r) }

// counted returns a transport that counts requests and answers by carry.
func counted(n *atomic.Int64, carry func(n int64, r *http.Request) (*http.Response,
	error)) http.RoundTripper {
	return trip(func(r *http.Request) (*http.Response, error) { return carry(n.Add(1), r) })
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatalf("%v (hint: %s)", err, remotetest.HintOf(err))
	}
}

func wantContent(t *testing.T, r remote.Remote, name remote.Name, want []byte) {
	t.Helper()
	got, err := r.Get(context.WithoutCancel(t.Context()), name)
	must(t, err)
	if !bytes.Equal(got, want) {
		t.Fatalf("%s: %d bytes, want %d, or they differ", name, len(got), len(want))
	}
}

// sequences is how many random sequences are run: each call takes
// milliseconds here.
func sequences() int {
	if os.Getenv("ENDSMEET_LONG") == "1" {
		return 0
	}
	return 15
}
