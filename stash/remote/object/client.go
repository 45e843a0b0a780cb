package object

import (
	"cmp"
	"context"
	"errors"
	"net"
	"net/http"
	"strings"
	"time"

	"github.com/aws/aws-sdk-go-v2/aws"
	"github.com/aws/aws-sdk-go-v2/service/s3"
	"github.com/sethvargo/go-retry"

	"endsmeet/stash/remote"
)

// connect makes the client at the first call. A failure is not remembered:
// the credentials may be there the next time.
func (s *Store) connect(ctx context.Context) (*s3.Client, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.client != nil {
		return s.client, nil
	}
	keys := aws.NewCredentialsCache(usual{})
	if _, err := keys.Retrieve(ctx); err != nil {
		return nil, &remote.Error{Kind: remote.Denied, Op: "open", Place: s.address(), Cause: err,
			Hint: noKeys}
	}
	transport := s.options.Transport
	if transport == nil {
		transport = s.newTransport()
	}
	ticking := newClock(transport)
	region, err := s.region(ctx, ticking)
	if err != nil {
		return nil, err
	}
	s.client, s.clock = s3.New(s.clientOptions(keys, region, ticking)), ticking
	return s.client, nil
}

// clientOptions ask for nothing that only some stores have: checksums are
// those of S3's first years, and a bucket is named in the path, but at AWS.
func (s *Store) clientOptions(keys aws.CredentialsProvider, region string,
	ticking *clock) s3.Options {
	o := s3.Options{
		Credentials:                  keys,
		Region:                       region,
		HTTPClient:                   &http.Client{Transport: ticking, CheckRedirect: stay},
		HTTPSignerV4:                 ticking,
		Retryer:                      aws.NopRetryer{}, // tried again in one place only: try
		UsePathStyle:                 !s.atAWS(),
		RequestChecksumCalculation:   aws.RequestChecksumCalculationWhenRequired,
		ResponseChecksumValidation:   aws.ResponseChecksumValidationWhenRequired,
		ContinueHeaderThresholdBytes: -1,
	}
	if s.endpoint.Host != general {
		o.BaseEndpoint = aws.String(s.endpoint.Scheme + "://" + s.endpoint.Host)
	}
	return o
}

// stay follows no redirection: it would take the signature elsewhere.
func stay(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }

// newTransport is Go's own with time limits: a machine that is off the
// network should hear so at once, and a silent server must not hold the
// exchange for ever. Nothing is compressed, so that lengths can be checked.
func (s *Store) newTransport() http.RoundTripper {
	transport := http.DefaultTransport.(*http.Transport).Clone()
	transport.DialContext = (&net.Dialer{Timeout: min(10*time.Second,
		s.options.Timeout)}).DialContext
	transport.ResponseHeaderTimeout = s.options.Timeout
	transport.MaxIdleConnsPerHost = 16
	transport.DisableCompression = true
	return transport
}

// general is where AWS answers for buckets of every region.
const general = "s3.amazonaws.com"

func (s *Store) atAWS() bool {
	host := s.endpoint.Hostname()
	return host == "amazonaws.com" || strings.HasSuffix(host, ".amazonaws.com")
}

// region is what requests are signed for. At AWS, without one, any request
// tells where the bucket is, even a refused one (S3 API reference, HeadBucket;
// from memory); elsewhere the name hardly ever matters.
func (s *Store) region(ctx context.Context, transport http.RoundTripper) (string, error) {
	const usual = "us-east-1"
	if s.options.Region != "" || !s.atAWS() {
		return cmp.Or(s.options.Region, usual), nil
	}
	ctx, cancel := context.WithTimeout(ctx, s.options.Timeout)
	defer cancel()
	request, err := http.NewRequestWithContext(ctx, http.MethodHead,
		s.endpoint.Scheme+"://"+s.endpoint.Host+"/"+s.options.Bucket, nil)
	if err != nil {
		return "", s.wrong("open", "", err)
	}
	response, err := transport.RoundTrip(request)
	if err != nil {
		return "", s.wrong("open", "", err)
	}
	_ = response.Body.Close()
	return cmp.Or(response.Header.Get("X-Amz-Bucket-Region"), usual), nil
}

// try calls work until it succeeds, fails with a kind other than Retry, or
// has been tried often enough. A refusal while the clocks are apart is tried
// once more with the store's time.
func (s *Store) try(ctx context.Context, op, object string,
	work func(context.Context, *s3.Client) error) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	client, err := s.connect(ctx)
	if err != nil {
		return err
	}
	backoff := retry.WithMaxRetries(uint64(s.options.Tries-1),
		retry.WithJitterPercent(25, retry.NewExponential(s.options.Wait)))
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
