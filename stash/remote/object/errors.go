package object

import (
	"crypto/tls"
	"errors"
	"net/http"

	"github.com/minio/minio-go/v7"

	"endsmeet/stash/remote"
)

// verdict is what an answer of the store means here.
type verdict struct {
	kind remote.Kind
	hint string
}

var (
	later     = verdict{remote.Retry, "the store or the network is not answering as it should; run it again later"}
	badKeys   = verdict{remote.Denied, "the store does not accept these credentials for this bucket; check them and the right to list, read, write and delete"}
	noBucket  = verdict{remote.NoPlace, "there is no such bucket there; make it with the store's own tools, or check the spelling and the endpoint"}
	badRegion = verdict{remote.NoPlace, "the bucket lies in another region; give it as ?region=... or in AWS_REGION"}
	noRoom    = verdict{remote.Full, "the store or the bucket is full; make room there, then run it again"}
	badTLS    = verdict{remote.Refused, "the server's certificate is not accepted; check the endpoint, and this machine's clock if the certificate seems out of date"}
)

// byCode holds the error codes that mean something else than their HTTP
// status says (S3 API reference, "Error responses"; from memory), and some
// that are a single store's own.
var byCode = map[string]verdict{
	"NoSuchBucket":                   noBucket,
	"InvalidBucketName":              noBucket,
	"AuthorizationHeaderMalformed":   badRegion,
	"InvalidRegion":                  badRegion,
	"BadDigest":                      later, // damaged on the way
	"IncompleteBody":                 later, // cut short on the way
	"XAmzContentSHA256Mismatch":      later,
	"RequestTimeout":                 later,
	"OperationAborted":               later, // another writer at the same moment
	"ExpiredToken":                   badKeys,
	"InvalidToken":                   badKeys,
	"RequestTimeTooSkewed":           {remote.Denied, "this machine's clock is far from the store's; set it"},
	"QuotaExceeded":                  noRoom,
	"XMinioStorageFull":              noRoom,
	"XMinioAdminBucketQuotaExceeded": noRoom,
	"InvalidObjectState":             {remote.Refused, "the store has moved the object into an archive; restore it with the store's own tools"},
}

// wrong turns an error of the client into one of package remote.
func (s *Store) wrong(op, object string, err error) *remote.Error {
	if own := (*remote.Error)(nil); errors.As(err, &own) {
		return own
	}
	v := judge(err)
	return &remote.Error{Kind: v.kind, Hint: v.hint, Op: op, Object: object, Place: s.place(), Cause: err}
}

func judge(err error) verdict {
	var answer minio.ErrorResponse
	if errors.As(err, &answer) {
		if v, ok := byCode[answer.Code]; ok {
			return v
		}
		return byStatus(answer.StatusCode)
	}
	var untrusted *tls.CertificateVerificationError
	var header tls.RecordHeaderError
	switch {
	case errors.As(err, &untrusted):
		return badTLS
	case errors.As(err, &header), errors.Is(err, http.ErrSchemeMismatch):
		return verdict{remote.Refused, "the server does not speak https; write the endpoint with http:// if that is meant"}
	}
	return later // the network: refused, reset, timed out, cut short
}

func byStatus(status int) verdict {
	switch {
	case status == http.StatusNotFound:
		return verdict{remote.NotFound, ""}
	case status == http.StatusUnauthorized, status == http.StatusForbidden:
		return badKeys
	case status == http.StatusInsufficientStorage:
		return noRoom
	case status == http.StatusNotImplemented:
		return verdict{remote.Refused, "the store does not offer what is needed"}
	case status == http.StatusRequestTimeout, status == http.StatusTooEarly, status == http.StatusTooManyRequests, status >= 499:
		return later
	case 300 <= status && status < 400:
		return badRegion
	}
	return verdict{remote.Refused, ""}
}

// mayBeClock tells whether err is the kind of refusal that a wrong clock causes.
func mayBeClock(err error) bool {
	var answer minio.ErrorResponse
	if !errors.As(err, &answer) {
		return false
	}
	switch answer.StatusCode {
	case http.StatusBadRequest, http.StatusUnauthorized, http.StatusForbidden:
		return true
	}
	return false
}
