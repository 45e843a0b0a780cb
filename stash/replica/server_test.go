package replica

import (
	"bytes"
	"context"
	"net"
	"os"
	"os/exec"
	"testing"
	"time"

	"github.com/minio/minio-go/v7"
	"github.com/minio/minio-go/v7/pkg/credentials"

	"endsmeet/stash/remote"
	"endsmeet/stash/remote/object"
)

// objectServers are the object stores that .ci/servers builds: versitygw
// v1.8.0 and minio of 2026-02-12, each from its published module.
var objectServers = []struct {
	name, variable string
	command        func(program, address, data string) *exec.Cmd
}{
	{"versitygw", "ENDSMEET_VERSITYGW", func(program, address, data string) *exec.Cmd {
		c := exec.Command(program, "--port", address, "--quiet", "posix", data)
		c.Env = append(os.Environ(), "ROOT_ACCESS_KEY=loopback", "ROOT_SECRET_KEY=loopback-secret")
		return c
	}},
	{"minio", "ENDSMEET_MINIO", func(program, address, data string) *exec.Cmd {
		c := exec.Command(program, "server", "--quiet", "--address", address, "--console-address", "127.0.0.1:0", data)
		c.Env = append(os.Environ(), "MINIO_ROOT_USER=loopback", "MINIO_ROOT_PASSWORD=loopback-secret", "MINIO_BROWSER=off", "MINIO_UPDATE=off", "HOME="+data)
		return c
	}},
}

// program finds a server, or skips the test.
func program(t *testing.T, name, variable string) string {
	t.Helper()
	if path := os.Getenv(variable); path != "" {
		return path
	}
	path, err := exec.LookPath(name)
	if err != nil && os.Getenv("ENDSMEET_REQUIRE_REFERENCES") == "1" {
		t.Fatalf("%s is missing: eval \"$(.ci/servers)\" first", name)
	}
	if err != nil {
		t.Skipf("%s is missing", name)
	}
	return path
}

// serve starts a server on loopback with one bucket and gives its endpoint.
func serve(t *testing.T, command func(program, address, data string) *exec.Cmd, program string) string {
	t.Helper()
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	address := listener.Addr().String()
	_ = listener.Close()
	var said bytes.Buffer
	process := command(program, address, t.TempDir())
	process.Stdout, process.Stderr = &said, &said
	if err := process.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = process.Process.Kill()
		_ = process.Wait()
	})
	client, err := minio.New(address, &minio.Options{Creds: credentials.NewStaticV4("loopback", "loopback-secret", ""), Region: "us-east-1", MaxRetries: 1})
	if err != nil {
		t.Fatal(err)
	}
	for range 300 {
		if err = client.MakeBucket(context.Background(), "yarn", minio.MakeBucketOptions{}); err == nil {
			return "http://" + address
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatalf("%s did not come up: %v\n%s", program, err, said.String())
	return ""
}

func TestMachinesMeetThroughObjectStores(t *testing.T) {
	t.Setenv("AWS_ACCESS_KEY_ID", "loopback")
	t.Setenv("AWS_SECRET_ACCESS_KEY", "loopback-secret")
	for _, s := range objectServers {
		t.Run(s.name, func(t *testing.T) {
			endpoint := serve(t, s.command, program(t, s.name, s.variable))
			open := func() remote.Remote {
				store, err := object.New(object.Options{Bucket: "yarn", Prefix: "stash", Endpoint: endpoint})
				if err != nil {
					t.Fatal(err)
				}
				return store
			}
			a, b := newMachine(t, "anneke", open()), newMachine(t, "bo", open())
			a.setup()
			cone := a.receive(a.yarn("Ossentarn cotton"), "Y01", 400)
			a.quiet()
			b.join()
			b.quiet()
			a.use(cone, 80, time.Time{})
			b.use(cone, 50, time.Time{})
			meet(a, b)
			a.holds(cone, 270)
			for range mergeRun {
				a.use(cone, 1, time.Time{})
				a.quiet()
			}
			a.clock.at = a.clock.at.Add(2 * time.Hour)
			a.quiet()
			b.quiet()
			newcomer := newMachine(t, "newcomer", open())
			newcomer.join()
			newcomer.quiet()
			same(t, a, b, newcomer)
			b.quiet() // reads what the newcomer has seen
			if r := b.quiet(); r.Requests() != 1 {
				t.Errorf("nothing new took %+v", r.Traffic)
			}
			if c, err := b.Check(context.Background(), true); err != nil || !c.OK() {
				t.Errorf("check: %+v, %v", c, err)
			}
		})
	}
}
