package object

import (
	"context"
	"errors"
	"net"
	"net/http"
	"strings"
	"time"

	"github.com/minio/minio-go/v7"
	"github.com/minio/minio-go/v7/pkg/credentials"
	"github.com/sethvargo/go-retry"

	"endsmeet/stash/remote"
)

// connect makes the client at the first call. A failure is not remembered:
// the credentials may be there the next time.
func (s *Store) connect() (*minio.Core, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.client != nil {
		return s.client, nil
	}
	keys := credentials.New(&usual{})
	if _, err := keys.GetWithContext(nil); err != nil {
		return nil, &remote.Error{Kind: remote.Denied, Op: "open", Place: s.place(), Cause: err, Hint: noKeys}
	}
	transport := s.options.Transport
	if transport == nil {
		transport = s.newTransport()
	}
	ticking := &clock{under: transport, keys: keys}
	client, err := minio.NewCore(s.endpoint.Host, &minio.Options{
		Creds:        keys,
		Secure:       s.endpoint.Scheme == "https",
		Region:       s.region(),
		Transport:    ticking,
		BucketLookup: minio.BucketLookupAuto,
		MaxRetries:   1, // tried again in one place only: try
	})
	if err != nil {
		return nil, &remote.Error{Kind: remote.Invalid, Op: "open", Place: s.place(), Cause: err}
	}
	s.client, s.clock = client, ticking
	return client, nil
}

// newTransport is Go's own with time limits: a machine that is off the
// network should hear so at once, and a silent server must not hold the
// exchange for ever. Nothing is compressed, so that lengths can be checked.
func (s *Store) newTransport() http.RoundTripper {
	transport := http.DefaultTransport.(*http.Transport).Clone()
	transport.DialContext = (&net.Dialer{Timeout: min(10*time.Second, s.options.Timeout)}).DialContext
	transport.ResponseHeaderTimeout = s.options.Timeout
	transport.MaxIdleConnsPerHost = 16
	transport.DisableCompression = true
	return transport
}

// region is what requests are signed for. At AWS an empty one makes the
// client ask once where the bucket is; elsewhere the name hardly ever matters.
func (s *Store) region() string {
	host := s.endpoint.Hostname()
	if s.options.Region == "" && host != "amazonaws.com" && !strings.HasSuffix(host, ".amazonaws.com") {
		return "us-east-1"
	}
	return s.options.Region
}

// try calls work until it succeeds, fails with a kind other than Retry, or
// has been tried often enough. A refusal while the clocks are apart is tried
// once more with the store's time.
func (s *Store) try(ctx context.Context, op, object string, work func(context.Context, *minio.Core) error) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	client, err := s.connect()
	if err != nil {
		return err
	}
	backoff := retry.WithMaxRetries(uint64(s.options.Tries-1), retry.WithJitterPercent(25, retry.NewExponential(s.options.Wait)))
	return retry.Do(ctx, backoff, func(ctx context.Context) error {
		err := work(ctx, client)
		if err != nil && ctx.Err() == nil && mayBeClock(err) && s.clock.adopt() {
			err = work(ctx, client)
		}
		if err == nil {
			return nil
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
		wrong := s.wrong(op, object, err)
		if wrong.Kind == remote.Retry && !unreachable(err) {
			return retry.RetryableError(wrong)
		}
		return wrong
	})
}

// unreachable tells whether no connection came about, or no address was
// found: trying again within seconds only makes a person without a network wait.
func unreachable(err error) bool {
	var dial *net.OpError
	var lookup *net.DNSError
	return errors.As(err, &lookup) || errors.As(err, &dial) && dial.Op == "dial"
}
