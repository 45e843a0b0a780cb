package replica

import (
	"bytes"
	"context"
	"io"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"net/http/httputil"
	"net/url"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/remote/object"
	"endsmeet/stash/remote/remotetest"
	"endsmeet/stash/replica/exchange"
)

// troubled stands before a real server and does to some requests what lines and
// those who run them do.
type troubled struct {
	mu     sync.Mutex
	server http.Handler
	chance *rand.Rand
	odds   int // in a hundred
	delay  time.Duration
	did    map[string]int
}

// troubles are what is done; "cut" breaks an answer off in the middle, "cut
// before" a request, "repeat" sends it twice, "portal" answers with a page that asks to log in.
var troubles = []string{"cut", "cut before", "delay", "repeat", "403", "500", "503", "portal"}

func (p *troubled) draw() string {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.chance.IntN(100) >= p.odds {
		return ""
	}
	what := troubles[p.chance.IntN(len(troubles))]
	p.did[what]++
	return what
}

func (p *troubled) calm() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.odds = 0
}

func (p *troubled) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	body, err := io.ReadAll(r.Body)
	if err != nil {
		return
	}
	ask := func() *httptest.ResponseRecorder {
		r.Body = io.NopCloser(bytes.NewReader(body))
		answer := httptest.NewRecorder()
		p.server.ServeHTTP(answer, r)
		return answer
	}
	switch what := p.draw(); what {
	case "cut before":
		panic(http.ErrAbortHandler)
	case "403", "500", "503":
		w.WriteHeader(map[string]int{"403": 403, "500": 500, "503": 503}[what])
	case "portal":
		w.Header().Set("Content-Type", "text/html")
		_, _ = io.WriteString(w, "<html><title>Welcome</title>Log in to use this network.</html>")
	case "delay":
		time.Sleep(p.delay)
		pass(w, ask(), false)
	case "repeat":
		ask()
		pass(w, ask(), false)
	default:
		pass(w, ask(), what == "cut")
	}
}

// pass hands an answer on, or half of it.
func pass(w http.ResponseWriter, answer *httptest.ResponseRecorder, half bool) {
	for name, values := range answer.Header() {
		w.Header()[name] = values
	}
	w.WriteHeader(answer.Code)
	body := answer.Body.Bytes()
	if half {
		_, _ = w.Write(body[:len(body)/2])
		panic(http.ErrAbortHandler)
	}
	_, _ = w.Write(body)
}

// before puts the proxy before a server and gives it and its address. The host
// of a request stays: it is signed.
func before(t *testing.T, endpoint string, delay time.Duration) (*troubled, string) {
	target, err := url.Parse(endpoint)
	if err != nil {
		t.Fatal(err)
	}
	pipe := &httputil.ReverseProxy{Rewrite: func(r *httputil.ProxyRequest) {
		r.Out.URL.Scheme, r.Out.URL.Host, r.Out.Host = target.Scheme, target.Host, r.In.Host
	}}
	p := &troubled{server: pipe, chance: rand.New(rand.NewPCG(5, 6)), odds: 12, delay: delay,
		did: map[string]int{}}
	listener := httptest.NewServer(p)
	t.Cleanup(listener.Close)
	return p, listener.URL
}

func TestMachinesMeetThroughALineThatFailsInEveryWay(t *testing.T) {
	rounds, delay := 12, 200*time.Millisecond
	if os.Getenv("ENDSMEET_LONG") != "" {
		rounds, delay = 200, 30*time.Second
	}
	remotetest.EachServer(t, func(t *testing.T, s *remotetest.Running) {
		p, endpoint := before(t, s.Endpoint, delay)
		open := func() remote.Remote {
			store, err := object.New(object.Options{Bucket: remotetest.Bucket, Prefix: "line",
				Endpoint: endpoint, Tries: 2, Wait: time.Millisecond})
			if err != nil {
				t.Fatal(err)
			}
			return store
		}
		odds := p.odds
		p.calm()
		a, b := newMachine(t, "anneke", open()), newMachine(t, "bo", open())
		a.setup()
		cone := a.receive(a.yarn("Ossentarn cotton"), "Y01", 4000)
		a.quiet()
		b.join()
		meet(a, b)
		p.odds = odds
		failed := 0
		for range rounds {
			for _, m := range []*machine{a, b} {
				m.use(cone, 1, time.Time{})
				failed += m.tries()
			}
		}
		p.calm()
		meet(a, b)
		meet(a, b)
		same(t, a, b)
		a.holds(cone, int64(4000-2*rounds))
		if c, err := b.Check(context.Background(), true); err != nil || !c.OK() {
			t.Errorf("check: %+v, %v", c, err)
		}
		if failed == 0 || len(p.did) < len(troubles)/2 {
			t.Errorf("%d exchanges failed of %v", failed, p.did)
		}
		t.Logf("%d exchanges failed and said so; %v", failed, p.did)
	})
}

// tries exchanges and counts a failure, which must be one of the place, with a
// remedy, and believe nothing.
func (m *machine) tries() int {
	m.t.Helper()
	r, err := m.Sync(context.Background())
	if r.Locked != "" || strings.Contains(strings.Join(r.Examples, " "), "html") {
		m.t.Errorf("the line is believed: %+v", r)
	}
	if err == nil {
		return 0
	}
	if stash.CodeOf(err) != exchange.CodePlace {
		m.t.Errorf("%s: %v", m.name, err)
	}
	return 1
}
