package object

import (
	"net/http"
	"strings"
	"sync/atomic"
	"time"

	"github.com/aws/aws-sdk-go-v2/aws"
	v4 "github.com/aws/aws-sdk-go-v2/aws/signer/v4"
	"github.com/minio/minio-go/v7/pkg/credentials"
)

// apart is how far two clocks must be apart before the store's is believed.
// Stores refuse from 15 minutes on; below five the refusal has another reason.
const apart = 5 * time.Minute

// clock is a transport that notes how far the store's clock is from ours
// and, once a request was refused for it, signs anew with the store's time.
// A clock that is an hour or a year off must not stop an exchange.
type clock struct {
	under http.RoundTripper
	keys  *credentials.Credentials
	seen  atomic.Int64 // nanoseconds by which the store was ahead at the last answer
	used  atomic.Int64 // the same, as adopted; 0 while ours is good enough
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

// RoundTrip carries one request, signed anew if need be.
func (c *clock) RoundTrip(request *http.Request) (*http.Response, error) {
	if c.offset() != 0 && request.Header.Get("Authorization") != "" {
		signed, err := c.sign(request)
		if err != nil {
			return nil, err
		}
		request = signed
	}
	response, err := c.under.RoundTrip(request)
	if err == nil {
		if at, bad := http.ParseTime(response.Header.Get("Date")); bad == nil {
			c.seen.Store(int64(time.Until(at)))
		}
	}
	return response, err
}

// sign replaces the signature of request by one for the store's time. The
// hash of the content, or that it is not signed, is in a header already.
func (c *clock) sign(request *http.Request) (*http.Request, error) {
	value, err := c.keys.GetWithContext(&credentials.CredContext{Client: http.DefaultClient, Context: request.Context()})
	if err != nil {
		return nil, err
	}
	signed := request.Clone(request.Context())
	region := signedRegion(signed.Header.Get("Authorization"))
	signed.Header.Del("Authorization")
	keys := aws.Credentials{AccessKeyID: value.AccessKeyID, SecretAccessKey: value.SecretAccessKey, SessionToken: value.SessionToken}
	hash := signed.Header.Get("X-Amz-Content-Sha256")
	signer := v4.NewSigner(func(o *v4.SignerOptions) { o.DisableURIPathEscaping = true })
	err = signer.SignHTTP(request.Context(), keys, signed, hash, "s3", region, time.Now().Add(c.offset()))
	return signed, err
}

// signedRegion takes the region from a signature made for another time:
// "AWS4-HMAC-SHA256 Credential=KEY/DATE/REGION/s3/aws4_request, ...".
func signedRegion(authorization string) string {
	scope, _, _ := strings.Cut(authorization, ",")
	parts := strings.Split(scope, "/")
	if len(parts) < 5 {
		return "us-east-1"
	}
	return parts[len(parts)-3]
}
