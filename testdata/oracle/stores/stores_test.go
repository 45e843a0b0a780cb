// Package stores holds the object store's client against minio-go 7, which
// sees the same bucket through a client of other makers.
package stores

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net/url"
	"os"
	"slices"
	"sync/atomic"
	"testing"

	"github.com/minio/minio-go/v7"
	"github.com/minio/minio-go/v7/pkg/credentials"
	"pgregory.net/rapid"

	"endsmeet/stash/remote"
	"endsmeet/stash/remote/object"
	"endsmeet/stash/remote/remotetest"
)

func TestMain(m *testing.M) {
	code := m.Run()
	remotetest.StopServers()
	os.Exit(code)
}

// other is minio-go's client of a server.
func other(t *testing.T, endpoint string) *minio.Client {
	t.Helper()
	at, err := url.Parse(endpoint)
	if err != nil {
		t.Fatal(err)
	}
	client, err := minio.New(at.Host, &minio.Options{Region: "us-east-1",
		Creds: credentials.NewStaticV4(remotetest.AccessKey, remotetest.SecretKey, "")})
	if err != nil {
		t.Fatal(err)
	}
	return client
}

// contents are small and empty bodies, and one of several packets.
func contents() *rapid.Generator[[]byte] {
	return rapid.OneOf(rapid.SliceOfN(rapid.Byte(), 0, 300),
		rapid.Map(rapid.Byte(), func(b byte) []byte {
			return bytes.Repeat([]byte{b, b + 1},
				70_000)
		}))
}

// What our client puts is what the other gets and lists, and the other way about.
func TestBothClientsSeeTheSame(t *testing.T) {
	var places atomic.Int64
	remotetest.EachServer(t, func(t *testing.T, s *remotetest.Running) {
		theirs := other(t, s.Endpoint)
		rapid.Check(t, func(r *rapid.T) {
			prefix := fmt.Sprintf("place-%d", places.Add(1))
			ours, err := object.New(object.Options{Bucket: remotetest.Bucket, Prefix: prefix,
				Endpoint: s.Endpoint})
			if err != nil {
				r.Fatal(err)
			}
			bodies := rapid.SliceOfN(contents(), 1, 4).Draw(r, "bodies")
			for i, body := range bodies {
				put(t.Context(), r, ours, theirs, prefix, i, body)
			}
			same(t.Context(), r, ours, theirs, prefix, bodies)
		})
	})
}

// name is the name of the object with a number.
func name(i int) remote.Name { return remote.Name(fmt.Sprintf("head/%02d", i)) }

// put puts one object by one client or the other.
func put(ctx context.Context, r *rapid.T, ours *object.Store, theirs *minio.Client, prefix string,
	i int, body []byte) {
	if rapid.Bool().Draw(r, "by ours") {
		if err := ours.Put(ctx, name(i), body); err != nil {
			r.Fatal(err)
		}
		return
	}
	_, err := theirs.PutObject(ctx, remotetest.Bucket, prefix+"/"+string(name(i)),
		bytes.NewReader(body), int64(len(body)), minio.PutObjectOptions{})
	if err != nil {
		r.Fatal(err)
	}
}

// same gets every object by both, and lists them by both.
func same(ctx context.Context, r *rapid.T, ours *object.Store, theirs *minio.Client, prefix string,
	bodies [][]byte) {
	var listed []string
	for o := range theirs.ListObjects(ctx, remotetest.Bucket,
		minio.ListObjectsOptions{Prefix: prefix + "/", Recursive: true}) {
		if o.Err != nil {
			r.Fatal(o.Err)
		}
		listed = append(listed, o.Key[len(prefix)+1:])
	}
	found, err := ours.List(ctx, "head/", "")
	if err != nil {
		r.Fatal(err)
	}
	var own []string
	for _, n := range found.Names {
		own = append(own, string(n))
	}
	if !slices.Equal(own, listed) || len(own) != len(bodies) {
		r.Fatalf("we list %q, they %q", own, listed)
	}
	for i, body := range bodies {
		mine, err := ours.Get(ctx, name(i))
		if err != nil {
			r.Fatal(err)
		}
		o, err := theirs.GetObject(ctx, remotetest.Bucket, prefix+"/"+string(name(i)),
			minio.GetObjectOptions{})
		if err != nil {
			r.Fatal(err)
		}
		yours, err := io.ReadAll(o)
		if err != nil || !bytes.Equal(mine, body) || !bytes.Equal(yours, body) {
			r.Fatalf("object %d: %d and %d bytes, want %d; %v", i, len(mine), len(yours), len(body),
				err)
		}
	}
}
