package object_test

import (
	"io"
	"net/http"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"endsmeet/stash/remote"
)

// TestStoreOfAnotherTimeIsSignedForItsTime refuses what is signed for a time
// more than 15 minutes from the store's, as stores do.
func TestStoreOfAnotherTimeIsSignedForItsTime(t *testing.T) {
	setKeys(t)
	for _, ahead := range []time.Duration{time.Hour, -time.Hour, 24 * time.Hour, -366 * 24 * time.Hour, 10 * 366 * 24 * time.Hour} {
		var requests atomic.Int64
		options := nowhere()
		options.Transport = counted(&requests, func(_ int64, r *http.Request) (*http.Response, error) {
			now := time.Now().Add(ahead)
			signed, err := time.Parse("20060102T150405Z", r.Header.Get("X-Amz-Date"))
			if err != nil || !strings.Contains(r.Header.Get("Authorization"), signed.Format("/20060102/")) {
				t.Errorf("signature %q for %v: %v", r.Header.Get("Authorization"), signed, err)
			}
			response := answer(r, http.StatusForbidden, "RequestTimeTooSkewed")
			if now.Sub(signed).Abs() < 15*time.Minute {
				response.StatusCode, response.Body = http.StatusOK, io.NopCloser(strings.NewReader(""))
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
	setKeys(t)
	var requests atomic.Int64
	options := nowhere()
	options.Transport = counted(&requests, func(_ int64, r *http.Request) (*http.Response, error) {
		response := answer(r, http.StatusForbidden, "AccessDenied")
		response.Header.Set("Date", time.Now().Add(2*time.Minute).UTC().Format(http.TimeFormat))
		return response, nil
	})
	store := open(t, options)
	if err := store.Put(t.Context(), "head/a", nil); remote.KindOf(err) != remote.Denied || requests.Load() != 1 || store.ClockOffset() != 0 {
		t.Fatalf("%v after %d requests, offset %v", err, requests.Load(), store.ClockOffset())
	}
}

// TestRealStoresAcceptTheCorrectedSignature pretends that a store is ten
// minutes ahead, which both still accept, and refuses the first request.
func TestRealStoresAcceptTheCorrectedSignature(t *testing.T) {
	eachServer(t, func(t *testing.T, s *running) {
		var requests atomic.Int64
		options := s.options()
		options.Transport = counted(&requests, func(n int64, r *http.Request) (*http.Response, error) {
			response, err := answer(r, http.StatusForbidden, "RequestTimeTooSkewed"), error(nil)
			if n > 1 {
				response, err = carryOn(r)
			}
			if err == nil {
				response.Header.Set("Date", time.Now().Add(10*time.Minute).UTC().Format(http.TimeFormat))
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
		// Without the streaming signature only Content-MD5 stands against a cut upload.
		cut := s.options()
		clean := open(t, cut)
		first := true
		cut.Tries = 2
		cut.Transport = trip(func(r *http.Request) (*http.Response, error) {
			if first {
				first = false
				response := answer(r, http.StatusForbidden, "RequestTimeTooSkewed")
				response.Header.Set("Date", time.Now().Add(10*time.Minute).UTC().Format(http.TimeFormat))
				return response, nil
			}
			return carryOn(cutBody(r, true))
		})
		if err := open(t, cut).Put(t.Context(), "head/a", content); err == nil {
			t.Fatal("half an upload passed for a whole one")
		}
		if _, err := clean.Get(t.Context(), "head/a"); remote.KindOf(err) != remote.NotFound {
			t.Fatalf("half an upload was kept: %v", err)
		}
	})
}
