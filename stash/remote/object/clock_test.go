package object_test

import (
	"bytes"
	"io"
	"net/http"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"endsmeet/stash/remote"
	"endsmeet/stash/remote/remotetest"
)

// TestStoreOfAnotherTimeIsSignedForItsTime refuses what is signed for a time
// more than 15 minutes from the store's, as stores do.
func TestStoreOfAnotherTimeIsSignedForItsTime(t *testing.T) {
	remotetest.SetKeys(t)
	for _, ahead := range []time.Duration{time.Hour, -time.Hour, 24 * time.Hour,
		-366 * 24 * time.Hour, 10 * 366 * 24 * time.Hour} {
		var requests atomic.Int64
		options := nowhere()
		options.Transport = counted(&requests, func(_ int64, r *http.Request) (*http.Response,
			error) {
			now := time.Now().Add(ahead)
			signed, err := time.Parse("20060102T150405Z", r.Header.Get("X-Amz-Date"))
			if err != nil || !strings.Contains(r.Header.Get("Authorization"),
				signed.Format("/20060102/")) {
				t.Errorf("signature %q for %v: %v", r.Header.Get("Authorization"), signed, err)
			}
			response := answer(r, http.StatusForbidden, "RequestTimeTooSkewed")
			if now.Sub(signed).Abs() < 15*time.Minute {
				response.StatusCode, response.Body = http.StatusOK,
					io.NopCloser(strings.NewReader(""))
			}
			response.Header.Set("Date", now.UTC().Format(http.TimeFormat))
			return response, nil
		})
		store := open(t, options)
		if store.ClockOffset() != 0 {
			t.Fatal("an offset before the first call")
		}
		must(t, store.Put(t.Context(), "head/a", content))
		must(t, store.Put(t.Context(), "head/b", content))
		if requests.Load() != 3 {
			t.Fatalf("%d requests for two calls and one correction", requests.Load())
		}
		if (store.ClockOffset() - ahead).Abs() > time.Minute {
			t.Fatalf("offset %v, want %v", store.ClockOffset(), ahead)
		}
	}
}

func TestRefusalWithClocksTogetherIsNotTakenForTheClock(t *testing.T) {
	remotetest.SetKeys(t)
	var requests atomic.Int64
	options := nowhere()
	options.Transport = counted(&requests, func(_ int64, r *http.Request) (*http.Response, error) {
		response := answer(r, http.StatusForbidden, "AccessDenied")
		response.Header.Set("Date", time.Now().Add(2*time.Minute).UTC().Format(http.TimeFormat))
		return response, nil
	})
	store := open(t, options)
	if err := store.Put(t.Context(), "head/a", nil); remote.KindOf(err) != remote.Denied ||
		requests.Load() != 1 || store.ClockOffset() != 0 {
		t.Fatalf("%v after %d requests, offset %v", err, requests.Load(), store.ClockOffset())
	}
}

// TestRealStoresAcceptTheCorrectedSignature pretends that a store is ten
// minutes ahead, which both still accept, and refuses the first request.
func TestRealStoresAcceptTheCorrectedSignature(t *testing.T) {
	remotetest.EachServer(t, func(t *testing.T, s *remotetest.Running) {
		var requests atomic.Int64
		options := placeAt(s)
		options.Prefix += " with+more é" // what a signature has to escape
		options.Transport = counted(&requests, func(n int64, r *http.Request) (*http.Response,
			error) {
			response, err := answer(r, http.StatusForbidden, "RequestTimeTooSkewed"), error(nil)
			if n > 1 {
				response, err = carryOn(r)
			}
			if err == nil {
				response.Header.Set("Date",
					time.Now().Add(10*time.Minute).UTC().Format(http.TimeFormat))
			}
			return response, err
		})
		store := open(t, options)
		must(t, store.Put(t.Context(), "head/a", content))
		wantContent(t, store, "head/a", content)
		found, err := store.List(t.Context(), "head/", "")
		must(t, err)
		if len(found.Names) != 1 {
			t.Fatalf("%+v", found)
		}
		must(t, store.Delete(t.Context(), "head/a"))
		if requests.Load() != 5 || store.ClockOffset() < 9*time.Minute {
			t.Fatalf("%d requests, offset %v", requests.Load(), store.ClockOffset())
		}
	})
}

// TestUploadDamagedOnTheWayIsNeverStored turns one bit of the body round. The
// signature notices, before and after the store's clock is adopted.
func TestUploadDamagedOnTheWayIsNeverStored(t *testing.T) {
	remotetest.EachServer(t, func(t *testing.T, s *remotetest.Running) {
		for _, ahead := range []time.Duration{0, 10 * time.Minute} {
			options := placeAt(s)
			clean := open(t, options)
			options.Tries = 2
			var requests atomic.Int64
			unsigned := 0
			options.Transport = counted(&requests, func(n int64, r *http.Request) (*http.Response,
				error) {
				if n == 1 && ahead > 0 {
					response := answer(r, http.StatusForbidden, "RequestTimeTooSkewed")
					response.Header.Set("Date", time.Now().Add(ahead).UTC().Format(http.TimeFormat))
					return response, nil
				}
				if r.Header.Get("X-Amz-Content-Sha256") == "UNSIGNED-PAYLOAD" {
					unsigned++
				}
				body, err := io.ReadAll(r.Body)
				if err != nil {
					return nil, err
				}
				body[len(body)/2] ^= 1
				damaged := r.Clone(r.Context())
				damaged.Body = io.NopCloser(bytes.NewReader(body))
				return carryOn(damaged)
			})
			err := open(t, options).Put(t.Context(), "head/a", content)
			if remote.KindOf(err) != remote.Retry || unsigned > 0 {
				t.Fatalf("damage on the way may be tried again, and no body goes unsigned: %v, %d unsigned, store %v ahead", err, unsigned, ahead)
			}
			if _, err := clean.Get(t.Context(), "head/a"); remote.KindOf(err) != remote.NotFound {
				t.Fatalf("a damaged upload was kept: %v", err)
			}
		}
	})
}
