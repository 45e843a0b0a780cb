package remotetest

import (
	"bytes"
	"context"
	"net"
	"os"
	"os/exec"
	"testing"
	"time"

	"github.com/aws/aws-sdk-go-v2/aws"
	"github.com/aws/aws-sdk-go-v2/service/s3"

	"endsmeet/stash/outside"
)

// The credentials and the bucket of the servers on loopback.
const (
	AccessKey = "loopback"
	SecretKey = "loopback-secret"
	Bucket    = "yarn"
)

// Server is an object store by another maker: versitygw v1.8.0 and minio of
// 2026-02-12, each built by .ci/servers from its published module.
type Server struct {
	Name     string
	variable string // the environment's word for where its program is
	command  func(program, address, data string) *exec.Cmd
	up       *Running // nil until a test wanted it
}

// Running is a started server with one bucket in it.
type Running struct {
	Endpoint string
	client   *s3.Client
	process  *exec.Cmd
	data     string // its directory
}

// Servers are the two that this process may start.
var Servers = []*Server{
	{Name: "versitygw", variable: "ENDSMEET_VERSITYGW", command: versitygw},
	{Name: "minio", variable: "ENDSMEET_MINIO", command: minio},
}

func versitygw(program, address, data string) *exec.Cmd {
	c := exec.Command(program, "--port", address, "--quiet", "posix", data)
	c.Env = append(os.Environ(), "ROOT_ACCESS_KEY="+AccessKey, "ROOT_SECRET_KEY="+SecretKey)
	return c
}

func minio(program, address, data string) *exec.Cmd {
	c := exec.Command(program, "server", "--quiet", "--address", address, "--console-address",
		"127.0.0.1:0", data)
	c.Env = append(os.Environ(), "MINIO_ROOT_USER="+AccessKey, "MINIO_ROOT_PASSWORD="+SecretKey,
		"MINIO_BROWSER=off", "MINIO_UPDATE=off", "HOME="+data)
	return c
}

// EachServer runs a test against each of Servers, with their credentials in
// the environment. TestMain has to call StopServers.
func EachServer(t *testing.T, test func(t *testing.T, s *Running)) {
	SetKeys(t)
	for _, s := range Servers {
		t.Run(s.Name, func(t *testing.T) { test(t, s.start(t)) })
	}
}

// SetKeys puts the credentials of the servers into the environment.
func SetKeys(t *testing.T) {
	t.Setenv("AWS_ACCESS_KEY_ID", AccessKey)
	t.Setenv("AWS_SECRET_ACCESS_KEY", SecretKey)
	t.Setenv("AWS_SESSION_TOKEN", "")
}

// StopServers stops those that tests started, and removes what they kept.
func StopServers() {
	for _, s := range Servers {
		s.stop()
	}
}

// program finds the server's program, or skips the test; under
// ENDSMEET_REQUIRE_REFERENCES it fails.
func (s *Server) program(t *testing.T) string {
	t.Helper()
	if path := os.Getenv(s.variable); path != "" {
		return path
	}
	path, err := exec.LookPath(s.Name)
	if err != nil {
		outside.GoWithout(t, "%s is missing: eval \"$(.ci/servers)\" first", s.Name)
	}
	return path
}

// start returns the server, started by the first test that wants it on a free
// port of loopback, with an empty directory and one bucket.
func (s *Server) start(t *testing.T) *Running {
	t.Helper()
	if s.up != nil {
		return s.up
	}
	program, address := s.program(t), FreeAddress(t)
	data, err := os.MkdirTemp("", "endsmeet-"+s.Name+"-")
	if err != nil {
		t.Fatal(err)
	}
	var said bytes.Buffer
	command := s.command(program, address, data)
	command.Stdout, command.Stderr = &said, &said
	s.up = &Running{Endpoint: "http://" + address, process: command, data: data}
	s.up.client = clientOf(s.up.Endpoint)
	if err = command.Start(); err == nil {
		err = s.up.makeBucket(t.Context())
	}
	if err != nil {
		s.stop()
		t.Fatalf("%s did not come up: %v\n%s", s.Name, err, said.String())
	}
	return s.up
}

// stop ends the server, if it was started.
func (s *Server) stop() {
	if s.up == nil {
		return
	}
	if p := s.up.process; p.Process != nil {
		_ = p.Process.Kill()
		_ = p.Wait()
	}
	_ = os.RemoveAll(s.up.data)
	s.up = nil
}

func clientOf(endpoint string) *s3.Client {
	keys := aws.CredentialsProviderFunc(func(context.Context) (aws.Credentials, error) {
		return aws.Credentials{AccessKeyID: AccessKey, SecretAccessKey: SecretKey}, nil
	})
	return s3.New(s3.Options{BaseEndpoint: &endpoint, Region: "us-east-1", UsePathStyle: true,
		Credentials: keys, Retryer: aws.NopRetryer{}})
}

// makeBucket waits until the server answers, for fifteen seconds at most.
func (r *Running) makeBucket(ctx context.Context) error {
	var err error
	for range 300 {
		if _, err = r.client.CreateBucket(ctx,
			&s3.CreateBucketInput{Bucket: aws.String(Bucket)}); err == nil {
			return nil
		}
		time.Sleep(50 * time.Millisecond)
	}
	return err
}

// Plant stores an object under any key.
func (r *Running) Plant(ctx context.Context, key string, data []byte) error {
	_, err := r.client.PutObject(ctx, &s3.PutObjectInput{
		Bucket: aws.String(Bucket), Key: &key, Body: bytes.NewReader(data)})
	return err
}

// FreeAddress returns an address on loopback that nobody listens at.
func FreeAddress(t *testing.T) string {
	t.Helper()
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = listener.Close() }()
	return listener.Addr().String()
}
