package object

import (
	"context"
	"net/http"
	"sync/atomic"
	"time"

	"github.com/aws/aws-sdk-go-v2/aws"
	v4 "github.com/aws/aws-sdk-go-v2/aws/signer/v4"
)

// apart is how far two clocks must be apart before the store's is believed.
// Stores refuse from 15 minutes on; below five the refusal has another reason.
const apart = 5 * time.Minute

// clock is a transport that notes how far the store's clock is from ours, and
// a signer that, once a request was refused for it, signs for the store's
// time. A clock that is an hour or a year off must not stop an exchange.
type clock struct {
	under  http.RoundTripper
	signer *v4.Signer
	seen   atomic.Int64 // nanoseconds by which the store was ahead at the last answer
	used   atomic.Int64 // the same, as adopted; 0 while ours is good enough
}

func newClock(under http.RoundTripper) *clock {
	return &clock{under: under, signer: v4.NewSigner(func(o *v4.SignerOptions) { o.DisableURIPathEscaping = true })}
}

// offset is what is added to our clock for signatures.
func (c *clock) offset() time.Duration { return time.Duration(c.used.Load()) }

// adopt takes over the store's clock if it is far from the one in use, and
// tells whether it did.
func (c *clock) adopt() bool {
	seen := time.Duration(c.seen.Load())
	if (seen - c.offset()).Abs() < apart {
		return false
	}
	c.used.Store(int64(seen))
	return true
}

// RoundTrip carries one request.
func (c *clock) RoundTrip(request *http.Request) (*http.Response, error) {
	response, err := c.under.RoundTrip(request)
	if err == nil {
		if at, bad := http.ParseTime(response.Header.Get("Date")); bad == nil {
			c.seen.Store(int64(time.Until(at)))
		}
	}
	return response, err
}

// SignHTTP signs a request for the store's time, whatever time the client
// thinks it is.
func (c *clock) SignHTTP(ctx context.Context, keys aws.Credentials, request *http.Request, hash,
	service, region string, _ time.Time, options ...func(*v4.SignerOptions)) error {
	return c.signer.SignHTTP(ctx, keys, request, hash, service, region, time.Now().Add(c.offset()),
		options...)
}
