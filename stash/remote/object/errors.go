package object

import (
	"crypto/tls"
	"errors"
	"fmt"
	"net/http"

	smithy "github.com/aws/smithy-go"
	smithyhttp "github.com/aws/smithy-go/transport/http"

	"endsmeet/stash/remote"
)

// meaning is what an answer of the store means here.
type meaning struct {
	kind remote.Kind
	hint string
}

var (
	later = meaning{remote.Retry,
		"the store or the network is not answering as it should; run it again later"}
	badKeys = meaning{remote.Denied,
		"the store does not accept these credentials for this bucket; check them and the right to list, read, write and delete"}
	noBucket = meaning{remote.NoPlace,
		"there is no such bucket there; make it with the store's own tools, or check the spelling and the endpoint"}
	badRegion = meaning{remote.NoPlace,
		"the bucket is in another region; give it as ?region=... or in AWS_REGION"}
	noRoom = meaning{remote.Full,
		"the store or the bucket is full; make room there, then run it again"}
	badTLS = meaning{remote.Refused,
		"the server's certificate is not accepted; check the endpoint, and this machine's clock if the certificate seems out of date"}
)

// byCode holds the error codes that mean something else than their HTTP
// status says (S3 API reference, "Error responses"; from memory), and some
// that are a single store's own.
var byCode = map[string]meaning{
	"NoSuchBucket":                 noBucket,
	"InvalidBucketName":            noBucket,
	"AuthorizationHeaderMalformed": badRegion,
	"InvalidRegion":                badRegion,
	"BadDigest":                    later, // damaged on the way
	"IncompleteBody":               later, // cut short on the way
	"XAmzContentSHA256Mismatch":    later,
	"RequestTimeout":               later,
	"OperationAborted":             later, // another writer at the same moment
	"ExpiredToken":                 badKeys,
	"InvalidToken":                 badKeys,
	"RequestTimeTooSkewed": {remote.Denied,
		"this machine's clock is far from the store's; set it"},
	"QuotaExceeded":                  noRoom,
	"XMinioStorageFull":              noRoom,
	"XMinioAdminBucketQuotaExceeded": noRoom,
	"InvalidObjectState": {remote.Refused,
		"the store has moved the object into an archive; restore it with the store's own tools"},
}

// wrong turns an error of the client into one of package remote.
func (s *Store) wrong(op, object string, err error) *remote.Error {
	if own := (*remote.Error)(nil); errors.As(err, &own) {
		return own
	}
	v := judge(err)
	return &remote.Error{Kind: v.kind, Hint: v.hint, Op: op, Object: object, Place: s.address(),
		Cause: plain(err)}
}

// answer is what the store said instead of doing it.
type answer struct {
	status        int // of HTTP
	code, message string
}

// Error returns what the store said.
func (a *answer) Error() string {
	said := a.code
	if said == "" || said == "UnknownError" {
		said = fmt.Sprintf("HTTP %d %s", a.status, http.StatusText(a.status))
	}
	if a.message != "" && a.message != "UnknownError" {
		said += ", " + a.message
	}
	return said
}

// answerIn finds the store's answer in an error of the client; nil if there
// was none.
func answerIn(err error) *answer {
	var response *smithyhttp.ResponseError
	if !errors.As(err, &response) || response.HTTPStatusCode() < 300 {
		return nil
	}
	a := &answer{status: response.HTTPStatusCode()}
	if said := smithy.APIError(nil); errors.As(err, &said) {
		a.code, a.message = said.ErrorCode(), said.ErrorMessage()
	}
	return a
}

// plain is the error without the client's own words around it.
func plain(err error) error {
	if a := answerIn(err); a != nil {
		return a
	}
	if sent := (*smithyhttp.RequestSendError)(nil); errors.As(err, &sent) {
		return sent.Err
	}
	return err
}

func judge(err error) meaning {
	if a := answerIn(err); a != nil {
		if v, ok := byCode[a.code]; ok {
			return v
		}
		return byStatus(a.status)
	}
	var untrusted *tls.CertificateVerificationError
	var header tls.RecordHeaderError
	switch {
	case errors.As(err, &untrusted):
		return badTLS
	case errors.As(err, &header), errors.Is(err, http.ErrSchemeMismatch):
		return meaning{remote.Refused,
			"the server does not speak https; write the endpoint with http:// if that is meant"}
	}
	return later // the network: refused, reset, timed out, cut short
}

func byStatus(status int) meaning {
	switch {
	case status == http.StatusNotFound:
		return meaning{remote.NotFound, ""}
	case status == http.StatusUnauthorized, status == http.StatusForbidden:
		return badKeys
	case status == http.StatusInsufficientStorage:
		return noRoom
	case status == http.StatusNotImplemented:
		return meaning{remote.Refused, "the store does not offer what is needed"}
	case status == http.StatusRequestTimeout, status == http.StatusTooEarly,
		status == http.StatusTooManyRequests, status >= 499:
		return later
	case 300 <= status && status < 400:
		return badRegion
	}
	return meaning{remote.Refused, ""}
}

// mayBeClock tells whether err is the kind of refusal that a wrong clock causes.
func mayBeClock(err error) bool {
	a := answerIn(err)
	if a == nil {
		return false
	}
	switch a.status {
	case http.StatusBadRequest, http.StatusUnauthorized, http.StatusForbidden:
		return true
	}
	return false
}
