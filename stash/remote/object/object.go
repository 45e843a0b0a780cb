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
	"crypto/md5"
	"encoding/base64"
	"errors"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/aws/aws-sdk-go-v2/aws"
	"github.com/aws/aws-sdk-go-v2/service/s3"
	"github.com/aws/aws-sdk-go-v2/service/s3/types"

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
	client   *s3.Client // nil until first used
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
	sum := md5.Sum(data) //nolint:gosec // what S3 checks a body with
	err := s.try(ctx, "put", string(name), func(ctx context.Context, client *s3.Client) error {
		ctx, cancel := context.WithTimeout(ctx, limit)
		defer cancel()
		_, err := client.PutObject(ctx, &s3.PutObjectInput{
			Bucket: &s.options.Bucket, Key: aws.String(s.key(name)), Body: bytes.NewReader(data),
			ContentType: aws.String("application/octet-stream"),
			ContentMD5:  aws.String(base64.StdEncoding.EncodeToString(sum[:])),
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
	err := s.try(ctx, "get", string(name), func(ctx context.Context, client *s3.Client) error {
		ctx, stall := watch(ctx, s.options.Timeout)
		defer stall.stop()
		got, err := client.GetObject(ctx, &s3.GetObjectInput{Bucket: &s.options.Bucket,
			Key: aws.String(s.key(name))})
		if err != nil {
			return err
		}
		data, err = io.ReadAll(stall.reader(got.Body))
		if closed := got.Body.Close(); err == nil {
			err = closed
		}
		if err == nil && got.ContentLength != nil && int64(len(data)) != *got.ContentLength {
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
func (s *Store) List(ctx context.Context, prefix string, after remote.Name) (remote.Listing,
	error) {
	if err := remote.CheckPrefix(prefix); err != nil {
		return remote.Listing{}, err
	}
	wanted := s3.ListObjectsV2Input{Bucket: &s.options.Bucket,
		Prefix: aws.String(s.options.Prefix + prefix), EncodingType: types.EncodingTypeUrl}
	if after != "" {
		if err := after.Check(); err != nil {
			return remote.Listing{}, err
		}
		wanted.StartAfter = aws.String(s.key(after))
	}
	var found remote.Listing
	err := s.try(ctx, "list", cmp.Or(prefix, "everything"),
		func(ctx context.Context, client *s3.Client) (err error) {
			found, err = s.pages(ctx, client, wanted, after)
			return err
		})
	if err != nil {
		return remote.Listing{}, err
	}
	slices.Sort(found.Names)
	found.Names = slices.Compact(found.Names)
	return found, nil
}

// errBrokenOff is half a listing, which must not pass for a whole one.
var errBrokenOff = errors.New("the list breaks off: there is more, and the store does not say how to ask for it")

// pages reads the pages of a listing.
func (s *Store) pages(ctx context.Context, client *s3.Client, wanted s3.ListObjectsV2Input,
	after remote.Name) (remote.Listing, error) {
	ctx, stall := watch(ctx, s.options.Timeout)
	defer stall.stop()
	var found remote.Listing
	for {
		page, err := client.ListObjectsV2(ctx, &wanted)
		if err != nil {
			return found, err
		}
		stall.touch()
		for _, object := range page.Contents {
			key := aws.ToString(object.Key)
			if page.EncodingType == types.EncodingTypeUrl {
				if plain, err := url.QueryUnescape(key); err == nil {
					key = plain
				}
			}
			s.see(&found, key, after)
		}
		if !aws.ToBool(page.IsTruncated) {
			return found, nil
		}
		next := aws.ToString(page.NextContinuationToken)
		if next == "" || next == aws.ToString(wanted.ContinuationToken) {
			return found, errBrokenOff
		}
		wanted.ContinuationToken = &next
	}
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
	err := s.try(ctx, "delete", string(name), func(ctx context.Context, client *s3.Client) error {
		ctx, cancel := context.WithTimeout(ctx, s.options.Timeout)
		defer cancel()
		_, err := client.DeleteObject(ctx, &s3.DeleteObjectInput{Bucket: &s.options.Bucket,
			Key: aws.String(s.key(name))})
		return err
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

// address names the bucket and where it is, for messages.
func (s *Store) address() string {
	return "s3://" + s.options.Bucket + "/" + s.options.Prefix + " at " + s.endpoint.Host
}
