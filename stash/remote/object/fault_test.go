package object_test

import (
	"bytes"
	"context"
	"errors"
	"io"
	"net/http"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"endsmeet/stash/remote"
	"endsmeet/stash/remote/remotetest"
)

var content = bytes.Repeat([]byte("content "), 10_000)

// carryOn sends a request to the server.
func carryOn(r *http.Request) (*http.Response, error) { return http.DefaultTransport.RoundTrip(r) }

// answer makes an answer that no server gave, without a body where code is
// empty.
func answer(r *http.Request, status int, code string) *http.Response {
	body := "<Error><Code>" + code + "</Code><Message>made by the test</Message></Error>"
	if code == "" {
		body = ""
	}
	return &http.Response{StatusCode: status, Status: http.StatusText(status), Proto: "HTTP/1.1",
		ProtoMajor: 1, ProtoMinor: 1,
		Header: http.Header{"Content-Type": {"application/xml"}},
		Body:   io.NopCloser(strings.NewReader(body)), Request: r}
}

// dropAnswer lets the server do it and then says that it failed.
func dropAnswer(r *http.Request, status int) (*http.Response, error) {
	response, err := carryOn(r)
	if err != nil {
		return nil, err
	}
	_, _ = io.Copy(io.Discard, response.Body)
	_ = response.Body.Close()
	return answer(r, status, "InternalError"), nil
}

func TestServerErrorAfterStoringIsTriedAgain(t *testing.T) {
	remotetest.EachServer(t, func(t *testing.T, s *remotetest.Running) {
		for _, status := range []int{500, 503} {
			var requests atomic.Int64
			options := placeAt(s)
			options.Transport = counted(&requests, func(n int64, r *http.Request) (*http.Response,
				error) {
				if n%3 != 0 {
					return dropAnswer(r, status)
				}
				return carryOn(r)
			})
			store := open(t, options)
			must(t, store.Put(t.Context(), "head/a", content))
			wantContent(t, store, "head/a", content)
			_, err := store.List(t.Context(), "", "")
			must(t, err)
			must(t, store.Delete(t.Context(), "head/a"))
			if requests.Load() != 12 {
				t.Fatalf("%d: %d requests for four calls, want 12", status, requests.Load())
			}
		}
	})
}

func TestServerErrorForEverIsRetryAndMayHaveStored(t *testing.T) {
	remotetest.EachServer(t, func(t *testing.T, s *remotetest.Running) {
		var requests atomic.Int64
		options := placeAt(s)
		honest := open(t, options)
		options.Tries = 3
		options.Transport = counted(&requests, func(_ int64, r *http.Request) (*http.Response,
			error) {
			return dropAnswer(r, 503)
		})
		err := open(t, options).Put(t.Context(), "head/a", content)
		if remote.KindOf(err) != remote.Retry || requests.Load() != 3 {
			t.Fatalf("%v after %d requests", err, requests.Load())
		}
		wantContent(t, honest, "head/a", content)
	})
}

// TestTimeOutThenLateSuccess holds the first upload back until after the
// second was stored.
func TestTimeOutThenLateSuccess(t *testing.T) {
	remotetest.EachServer(t, func(t *testing.T, s *remotetest.Running) {
		var requests atomic.Int64
		var late sync.WaitGroup
		options := placeAt(s)
		options.Timeout = 2 * time.Second
		release := make(chan struct{})
		options.Transport = counted(&requests, func(n int64, r *http.Request) (*http.Response,
			error) {
			if n > 1 {
				return carryOn(r)
			}
			body, err := io.ReadAll(r.Body)
			if err != nil {
				return nil, err
			}
			again := r.Clone(context.WithoutCancel(r.Context()))
			again.Body = io.NopCloser(bytes.NewReader(body))
			late.Go(func() {
				<-release
				response, err := carryOn(again)
				if err != nil || response.StatusCode != http.StatusOK {
					t.Errorf("the late upload: %v %v", response, err)
				}
			})
			return nil, context.DeadlineExceeded // as a transport's own time limit says it
		})
		store := open(t, options)
		must(t, store.Put(t.Context(), "head/a", content))
		close(release)
		late.Wait()
		wantContent(t, store, "head/a", content)
		if requests.Load() != 3 {
			t.Fatalf("%d requests", requests.Load())
		}
	})
}

// cutBody lets only half of the body through. honest leaves the length that
// was announced, so that the connection breaks; otherwise half is all that
// the server is told of.
func cutBody(r *http.Request, honest bool) *http.Request {
	cut := r.Clone(r.Context())
	half := r.ContentLength / 2
	cut.Body = io.NopCloser(io.LimitReader(r.Body, half))
	if !honest {
		cut.ContentLength = half
		cut.Header.Set("Content-Length", "")
		cut.Header.Del("Content-Length")
	}
	return cut
}

func TestUploadCutShortIsNeverStored(t *testing.T) {
	remotetest.EachServer(t, func(t *testing.T, s *remotetest.Running) {
		for _, honest := range []bool{true, false} {
			options := placeAt(s)
			clean := open(t, options)
			options.Tries = 2
			options.Transport = trip(func(r *http.Request) (*http.Response, error) {
				return carryOn(cutBody(r, honest))
			})
			if err := open(t, options).Put(t.Context(), "head/a", content); err == nil {
				t.Fatal("half an upload passed for a whole one")
			}
			if _, err := clean.Get(t.Context(), "head/a"); remote.KindOf(err) != remote.NotFound {
				t.Fatalf("half an upload was kept: %v", err)
			}
		}
	})
}

// cutAnswer gives half of the body, and then either an error or a plain end.
func cutAnswer(r *http.Request, honest bool) (*http.Response, error) {
	response, err := carryOn(r)
	if err != nil || response.StatusCode != http.StatusOK {
		return response, err
	}
	half := io.Reader(io.LimitReader(response.Body, response.ContentLength/2))
	if honest {
		half = io.MultiReader(half, failing{})
	}
	response.Body = io.NopCloser(half)
	return response, nil
}

type failing struct{}

// Read fails as a broken connection does.
func (failing) Read([]byte) (int, error) { return 0, io.ErrUnexpectedEOF }

func TestDownloadCutShortIsTriedAgainAndNeverHandedOut(t *testing.T) {
	remotetest.EachServer(t, func(t *testing.T, s *remotetest.Running) {
		for _, honest := range []bool{true, false} {
			var requests atomic.Int64
			options := placeAt(s)
			must(t, open(t, options).Put(t.Context(), "head/a", content))
			options.Transport = counted(&requests, func(n int64, r *http.Request) (*http.Response,
				error) {
				if n == 2 {
					return carryOn(r)
				}
				return cutAnswer(r, honest)
			})
			wantContent(t, open(t, options), "head/a", content)
			options.Tries = 2
			if data, err := open(t, options).Get(t.Context(),
				"head/a"); remote.KindOf(err) != remote.Retry || data != nil {
				t.Fatalf("%d bytes, %v", len(data), err)
			}
			if requests.Load() != 4 {
				t.Fatalf("%d requests", requests.Load())
			}
		}
	})
}

// waiting is a body that gives nothing until its request is given up.
type waiting struct{ ctx context.Context }

// Read waits for the end of the request.
func (w waiting) Read([]byte) (int, error) {
	<-w.ctx.Done()
	return 0, w.ctx.Err()
}

// Close does nothing.
func (waiting) Close() error { return nil }

func TestServerThatStopsSendingDoesNotHoldTheExchange(t *testing.T) {
	remotetest.SetKeys(t)
	options := nowhere()
	options.Timeout, options.Tries = 20*time.Millisecond, 2
	options.Transport = trip(func(r *http.Request) (*http.Response, error) {
		response := answer(r, http.StatusOK, "")
		response.Body, response.ContentLength = waiting{r.Context()}, 1000
		response.Header.Set("Content-Length", "1000")
		response.Header.Set("Last-Modified", time.Unix(0, 0).UTC().Format(http.TimeFormat))
		return response, nil
	})
	store := open(t, options)
	if _, err := store.Get(t.Context(), "head/a"); remote.KindOf(err) != remote.Retry {
		t.Fatalf("get: %v", err)
	}
	if _, err := store.List(t.Context(), "", ""); remote.KindOf(err) != remote.Retry {
		t.Fatalf("list: %v", err)
	}
}

func TestEndOfTheContextEndsTheTries(t *testing.T) {
	remotetest.SetKeys(t)
	ctx, cancel := context.WithCancel(t.Context())
	var requests atomic.Int64
	options := nowhere()
	options.Transport = counted(&requests, func(n int64, r *http.Request) (*http.Response, error) {
		if n == 2 {
			cancel()
		}
		return answer(r, 503, "SlowDown"), nil
	})
	if err := open(t, options).Put(ctx, "head/a", content); !errors.Is(err, context.Canceled) ||
		requests.Load() != 2 {
		t.Fatalf("%v after %d requests", err, requests.Load())
	}
}
