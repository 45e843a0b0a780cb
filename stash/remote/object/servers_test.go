package object_test

import (
	"bytes"
	"context"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/exec"
	"sync/atomic"
	"testing"
	"time"

	"github.com/minio/minio-go/v7"
	"github.com/minio/minio-go/v7/pkg/credentials"

	"endsmeet/stash/remote"
	"endsmeet/stash/remote/object"
	"endsmeet/stash/remote/remotetest"
)

// The credentials of the servers on loopback.
const (
	accessKey = "loopback"
	secretKey = "loopback-secret"
	bucket    = "yarn"
)

// servers are two object stores by different makers; .ci/servers builds them.
var servers = []*server{
	{
		name: "versitygw", variable: "ENDSMEET_VERSITYGW",
		command: func(program, address, data string) *exec.Cmd {
			c := exec.Command(program, "--port", address, "--quiet", "posix", data)
			c.Env = append(os.Environ(), "ROOT_ACCESS_KEY="+accessKey, "ROOT_SECRET_KEY="+secretKey)
			return c
		},
	},
	{
		name: "minio", variable: "ENDSMEET_MINIO",
		command: func(program, address, data string) *exec.Cmd {
			c := exec.Command(program, "server", "--quiet", "--address", address, "--console-address", "127.0.0.1:0", data)
			c.Env = append(os.Environ(), "MINIO_ROOT_USER="+accessKey, "MINIO_ROOT_PASSWORD="+secretKey,
				"MINIO_BROWSER=off", "MINIO_UPDATE=off", "HOME="+data)
			return c
		},
	},
}

// server is one of them, and how it is started.
type server struct {
	name, variable string
	command        func(program, address, data string) *exec.Cmd
	up             *running // nil until a test wanted it
}

// program finds the server or skips the test.
func (s *server) program(t *testing.T) string {
	t.Helper()
	if path := os.Getenv(s.variable); path != "" {
		return path
	}
	path, err := exec.LookPath(s.name)
	if err != nil {
		if os.Getenv("ENDSMEET_REQUIRE_REFERENCES") == "1" {
			t.Fatalf("%s is missing: eval \"$(.ci/servers)\" first", s.name)
		}
		t.Skipf("%s is missing", s.name)
	}
	return path
}

// TestMain ends the servers that the tests started.
func TestMain(m *testing.M) {
	code := m.Run()
	for _, s := range servers {
		s.end()
	}
	os.Exit(code)
}

// eachServer runs a test against each server.
func eachServer(t *testing.T, test func(t *testing.T, s *running)) {
	setKeys(t)
	for _, s := range servers {
		t.Run(s.name, func(t *testing.T) { test(t, s.start(t)) })
	}
}

func setKeys(t *testing.T) {
	t.Setenv("AWS_ACCESS_KEY_ID", accessKey)
	t.Setenv("AWS_SECRET_ACCESS_KEY", secretKey)
	t.Setenv("AWS_SESSION_TOKEN", "")
}

// running is a started server with one bucket in it.
type running struct {
	endpoint string
	client   *minio.Client
	process  *exec.Cmd
	data     string // its directory
	places   atomic.Int64
}

// start returns the server, started by the first test that wants it on a free
// port of loopback, with an empty directory and one bucket.
func (s *server) start(t *testing.T) *running {
	t.Helper()
	if s.up != nil {
		return s.up
	}
	program, address := s.program(t), freeAddress(t)
	data, err := os.MkdirTemp("", "endsmeet-"+s.name+"-")
	must(t, err)
	var said bytes.Buffer
	command := s.command(program, address, data)
	command.Stdout, command.Stderr = &said, &said
	must(t, command.Start())
	client, err := minio.New(address, &minio.Options{Creds: credentials.NewStaticV4(accessKey, secretKey, ""), Region: "us-east-1", MaxRetries: 1})
	must(t, err)
	s.up = &running{endpoint: "http://" + address, client: client, process: command, data: data}
	for range 300 {
		if err = client.MakeBucket(t.Context(), bucket, minio.MakeBucketOptions{}); err == nil {
			return s.up
		}
		time.Sleep(50 * time.Millisecond)
	}
	s.end()
	t.Fatalf("%s did not come up: %v\n%s", s.name, err, said.String())
	return nil
}

// end stops the server, if it was started, and removes what it kept.
func (s *server) end() {
	if s.up == nil {
		return
	}
	_ = s.up.process.Process.Kill()
	_ = s.up.process.Wait()
	_ = os.RemoveAll(s.up.data)
	s.up = nil
}

// freeAddress returns an address on loopback that nobody listens at.
func freeAddress(t *testing.T) string {
	t.Helper()
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = listener.Close() }()
	return listener.Addr().String()
}

// options returns those for a part of the bucket that no other test uses.
func (r *running) options() object.Options {
	return object.Options{Bucket: bucket, Endpoint: r.endpoint, Wait: time.Millisecond,
		Prefix: fmt.Sprintf("place-%d", r.places.Add(1))}
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
func (r *running) plant(t *testing.T, prefix, name string, data []byte) {
	t.Helper()
	_, err := r.client.PutObject(t.Context(), bucket, prefix+"/"+name, bytes.NewReader(data), int64(len(data)), minio.PutObjectOptions{})
	if err != nil {
		t.Fatal(err)
	}
}

func TestObjectKeepsTheContract(t *testing.T) {
	eachServer(t, func(t *testing.T, s *running) {
		remotetest.Run(t, func(*testing.T) remotetest.Place {
			options := s.options()
			return remotetest.Place{
				Sequences: sequences(),
				Open:      func(t *testing.T) remote.Remote { return open(t, options) },
				Plant:     func(t *testing.T, name string, data []byte) { s.plant(t, options.Prefix, name, data) },
			}
		})
	})
}

// trip is a transport under a test's control.
type trip func(*http.Request) (*http.Response, error)

// RoundTrip calls the function.
func (f trip) RoundTrip(r *http.Request) (*http.Response, error) { return f(r) }

// counted returns a transport that counts requests and answers by carry.
func counted(n *atomic.Int64, carry func(n int64, r *http.Request) (*http.Response, error)) http.RoundTripper {
	return trip(func(r *http.Request) (*http.Response, error) { return carry(n.Add(1), r) })
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatalf("%v (hint: %s)", err, remote.HintOf(err))
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
