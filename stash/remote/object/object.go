// Package object keeps a shared place in a bucket of an S3-compatible
// object store. Uploads are single and carry a Content-MD5, so that a store
// cannot keep half of one; nothing relies on conditional requests, versions
// or strongly consistent listing.
//
// Credentials come from the environment (AWS_ACCESS_KEY_ID and
// AWS_SECRET_ACCESS_KEY, AWS_SESSION_TOKEN) or from the shared files
// (~/.aws/credentials and ~/.aws/config, AWS_PROFILE), at the first call,
// and are kept nowhere.
package object

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/minio/minio-go/v7"

	"endsmeet/stash/remote"
)

// Options say which bucket, and how patient to be.
type Options struct {
	Bucket   string // an existing bucket; it is not created here
	Prefix   string // what every key begins with, without slashes at its ends; may be empty
	Endpoint string // https://host[:port], or http:// where that is meant
	Region   string // empty: asked of the store at AWS, else us-east-1

	Fault remote.Fault // called at the points that package remote names; nil outside tests

	// Transport carries the requests; nil means one with Timeout in it.
	Transport http.RoundTripper
	Timeout   time.Duration // until an answer begins, and for a stalled body; 0 means a minute
	Tries     int           // how often a call is tried while the error is Retry; 0 means 5
	Wait      time.Duration // before the second try, doubled for each further one; 0 means 200 ms
}

// Store is a remote.Remote in a bucket. Nothing is read or connected before
// the first call.
type Store struct {
	options  Options
	endpoint *url.URL
	mu       sync.Mutex
	client   *minio.Core // nil until first used
	clock    *clock
}

// New returns the place that options describe. It fails with Invalid when
// the endpoint or the bucket's name can't be one.
func New(options Options) (*Store, error) {
	endpoint, err := url.Parse(options.Endpoint)
	if err != nil || !isEndpoint(endpoint) {
		return nil, &remote.Error{Kind: remote.Invalid, Op: "open", Place: "s3://" + options.Bucket,
			Cause: errors.New("the endpoint is not of the form https://host or https://host:port")}
	}
	options.Prefix = strings.Trim(options.Prefix, "/")
	if options.Prefix != "" {
		options.Prefix += "/"
	}
	if options.Timeout == 0 {
		options.Timeout = time.Minute
	}
	if options.Tries == 0 {
		options.Tries = 5
	}
	if options.Wait == 0 {
		options.Wait = 200 * time.Millisecond
	}
	return &Store{options: options, endpoint: endpoint}, nil
}

// isEndpoint tells whether u is nothing but a scheme and a host. (What is
// wrong may hold a password, so that no message quotes it.)
func isEndpoint(u *url.URL) bool {
	return u.Host != "" && (u.Scheme == "http" || u.Scheme == "https") &&
		u.User == nil && u.RawQuery == "" && strings.Trim(u.Path, "/") == ""
}

// ClockOffset is how far the store's clock is ahead of this machine's, once
// that was so much that the store refused a request; else zero. Requests are
// then signed with the store's time: a wrong clock does not stop an exchange,
// but the person should hear of it.
func (s *Store) ClockOffset() time.Duration {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.clock == nil {
		return 0
	}
	return s.clock.offset()
}

// Put uploads data in one request. See remote.Remote.
func (s *Store) Put(ctx context.Context, name remote.Name, data []byte) error {
	if err := name.Check(); err != nil {
		return err
	}
	s.options.Fault.At(remote.PointBeforePut)
	// The time limit grows with the size: 16 KiB a second is a poor mobile link.
	limit := s.options.Timeout + time.Duration(len(data)/16_384)*time.Second
	err := s.try(ctx, "put", string(name), func(ctx context.Context, client *minio.Core) error {
		ctx, cancel := context.WithTimeout(ctx, limit)
		defer cancel()
		_, err := client.Client.PutObject(ctx, s.options.Bucket, s.key(name), bytes.NewReader(data), int64(len(data)), minio.PutObjectOptions{
			ContentType:      "application/octet-stream",
			SendContentMd5:   true,
			DisableMultipart: true,
			// A streaming signature is bound to this machine's clock.
			DisableContentSha256: s.clock.offset() != 0,
		})
		return err
	})
	if err == nil {
		s.options.Fault.At(remote.PointAfterPut)
	}
	return err
}

// Get downloads an object in one request. A body cut short is an error here,
// never a short answer. See remote.Remote.
func (s *Store) Get(ctx context.Context, name remote.Name) ([]byte, error) {
	if err := name.Check(); err != nil {
		return nil, err
	}
	var data []byte
	err := s.try(ctx, "get", string(name), func(ctx context.Context, client *minio.Core) error {
		ctx, stall := watch(ctx, s.options.Timeout)
		defer stall.stop()
		body, info, _, err := client.GetObject(ctx, s.options.Bucket, s.key(name), minio.GetObjectOptions{})
		if err != nil {
			return err
		}
		data, err = io.ReadAll(stall.reader(body))
		if closed := body.Close(); err == nil {
			err = closed
		}
		if err == nil && info.Size >= 0 && int64(len(data)) != info.Size {
			err = io.ErrUnexpectedEOF
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	return data, nil
}

// List asks for pages until the last one. See remote.Remote.
func (s *Store) List(ctx context.Context, prefix string, after remote.Name) (remote.Listing, error) {
	if err := remote.CheckPrefix(prefix); err != nil {
		return remote.Listing{}, err
	}
	options := minio.ListObjectsOptions{Prefix: s.options.Prefix + prefix, Recursive: true, FetchOwner: new(bool)}
	if after != "" {
		if err := after.Check(); err != nil {
			return remote.Listing{}, err
		}
		options.StartAfter = s.key(after)
	}
	var found remote.Listing
	err := s.try(ctx, "list", cmp.Or(prefix, "everything"), func(ctx context.Context, client *minio.Core) error {
		ctx, stall := watch(ctx, s.options.Timeout)
		defer stall.stop()
		found = remote.Listing{}
		for object := range client.ListObjectsIter(ctx, s.options.Bucket, options) {
			if object.Err != nil {
				return object.Err
			}
			stall.touch()
			s.see(&found, object.Key, after)
		}
		return ctx.Err()
	})
	if err != nil {
		return remote.Listing{}, err
	}
	slices.Sort(found.Names)
	found.Names = slices.Compact(found.Names)
	return found, nil
}

// see counts one key. Stores exist that take no notice of where to start.
func (s *Store) see(found *remote.Listing, key string, after remote.Name) {
	rest, ours := strings.CutPrefix(key, s.options.Prefix)
	name, err := remote.ParseName(rest)
	switch {
	case !ours:
	case err != nil:
		found.Ignore(rest)
	case name > after:
		found.Names = append(found.Names, name)
	}
}

// Delete removes an object. See remote.Remote.
func (s *Store) Delete(ctx context.Context, name remote.Name) error {
	if err := name.Check(); err != nil {
		return err
	}
	s.options.Fault.At(remote.PointBeforeDelete)
	err := s.try(ctx, "delete", string(name), func(ctx context.Context, client *minio.Core) error {
		ctx, cancel := context.WithTimeout(ctx, s.options.Timeout)
		defer cancel()
		return client.RemoveObject(ctx, s.options.Bucket, s.key(name), minio.RemoveObjectOptions{})
	})
	if errors.Is(err, remote.NotFound) {
		err = nil
	}
	if err == nil {
		s.options.Fault.At(remote.PointAfterDelete)
	}
	return err
}

// key is the object's key in the bucket.
func (s *Store) key(name remote.Name) string { return s.options.Prefix + string(name) }

// place names the bucket and where it is, for messages.
func (s *Store) place() string {
	return "s3://" + s.options.Bucket + "/" + s.options.Prefix + " at " + s.endpoint.Host
}
