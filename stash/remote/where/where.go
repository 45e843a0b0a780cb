// Package where reads what a person writes for WHERE: the shared place, a
// folder or a bucket. It opens nothing.
package where

import (
	"cmp"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"strings"
)

// Where is a shared place by its address. Exactly one of Folder and Bucket
// is set. It never holds credentials, so that it may be stored and shown.
type Where struct {
	Folder string // absolute path

	Bucket   string
	Prefix   string // without slashes at its ends; may be empty
	Endpoint string // https://host[:port] or http://...
	Region   string // may be empty
}

// Error is a WHERE that can't be used. Hint says what to write instead.
type Error struct {
	Message string
	Hint    string
}

// Error returns the message without the hint.
func (e *Error) Error() string { return e.Message }

// awsEndpoint is where a bucket lies when nothing says otherwise.
const awsEndpoint = "https://s3.amazonaws.com"

// The forms are compiled when they are needed: at the start of the program
// they would cost every command a fifth of a millisecond.
const (
	bucketForm = `^[a-z0-9][a-z0-9.-]{1,61}[a-z0-9]$` // S3 user guide, from memory
	prefixForm = `^[A-Za-z0-9._-]+(/[A-Za-z0-9._-]+)*$`
	regionForm = `^[a-z0-9-]{1,40}$`
	schemeForm = `^([A-Za-z][A-Za-z0-9+.-]+)://`
)

// fits tells whether the whole of text has the form.
func fits(form, text string) bool { return regexp.MustCompile(form).MatchString(text) }

// maxPrefix leaves room for an object's name within S3's 1024 bytes.
const maxPrefix = 500

// Parse reads text:
//
//	/media/stick/yarn, ~/Shared/yarn, shared     a folder; made absolute
//	s3://bucket/prefix?endpoint=https://host&region=name
//
// Without endpoint= the environment counts (AWS_ENDPOINT_URL_S3, then
// AWS_ENDPOINT_URL), then AWS itself; without region= AWS_REGION, then
// AWS_DEFAULT_REGION (region= with nothing after it means none). getenv is os.Getenv
// outside tests. Every error is an *Error; none repeats the text, which might hold a
// secret.
func Parse(text string, getenv func(string) string) (Where, error) {
	scheme := regexp.MustCompile(schemeForm).FindStringSubmatch(text)
	switch {
	case text == "":
		return Where{}, &Error{"no shared place given",
			"give a folder, or s3://bucket/prefix?endpoint=https://host"}
	case strings.ContainsFunc(text, func(r rune) bool { return r < ' ' || r == 0x7f }):
		return Where{}, &Error{"the shared place has a control character in it",
			"check what was pasted"}
	case scheme == nil:
		return folder(text, getenv)
	case strings.EqualFold(scheme[1], "s3"):
		return bucket(text, getenv)
	case strings.EqualFold(scheme[1], "http") || strings.EqualFold(scheme[1], "https"):
		return Where{}, &Error{"a web address is not a shared place",
			"for an object store write s3://bucket/prefix?endpoint=https://host"}
	}
	return Where{}, &Error{fmt.Sprintf("a shared place of the kind %s:// is not known", scheme[1]),
		"give the path of a folder, or s3://bucket/prefix?endpoint=https://host"}
}

func folder(text string, getenv func(string) string) (Where, error) {
	if text == "~" || len(text) > 1 && text[0] == '~' && os.IsPathSeparator(text[1]) {
		home := cmp.Or(getenv("HOME"), getenv("USERPROFILE")) // the second on Windows
		if home == "" {
			return Where{}, &Error{"~ can't be used: HOME is not set", "write the whole path"}
		}
		text = filepath.Join(home, text[1:])
	}
	absolute, err := filepath.Abs(text)
	if err != nil {
		return Where{}, &Error{"the working folder is not known: " + err.Error(),
			"write the whole path"}
	}
	return Where{Folder: absolute}, nil
}

func bucket(text string, getenv func(string) string) (Where, error) {
	u, err := url.Parse(text)
	if err != nil {
		return Where{}, &Error{"the address of the object store can't be read", usage}
	}
	if u.User != nil {
		return Where{}, &Error{"credentials do not belong into the address",
			"set AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY, or use ~/.aws/credentials"}
	}
	query, err := options(u)
	if err != nil {
		return Where{}, err
	}
	w := Where{Bucket: u.Host, Prefix: strings.Trim(u.Path, "/"),
		Endpoint: cmp.Or(query.Get("endpoint"), getenv("AWS_ENDPOINT_URL_S3"),
			getenv("AWS_ENDPOINT_URL"), awsEndpoint),
		Region: query.Get("region")}
	if !query.Has("region") {
		w.Region = cmp.Or(getenv("AWS_REGION"), getenv("AWS_DEFAULT_REGION"))
	}
	if !strings.Contains(w.Endpoint, "://") {
		w.Endpoint = "https://" + w.Endpoint
	}
	w.Endpoint = strings.TrimRight(w.Endpoint, "/")
	return w, w.check()
}

const usage = "write s3://bucket/prefix?endpoint=https://host&region=name; in a shell put it in quotes"

// options reads what stands behind the question mark and refuses what is not
// known: a misspelt option must not be passed over.
func options(u *url.URL) (url.Values, error) {
	query, err := url.ParseQuery(u.RawQuery)
	if err != nil || u.Fragment != "" {
		return nil, &Error{"the options of the object store can't be read", usage}
	}
	for name, values := range query {
		if name != "endpoint" && name != "region" {
			return nil, &Error{"an option of the object store is not known (there are endpoint and region; no secret goes here)", usage}
		}
		if len(values) > 1 {
			return nil, &Error{"the option " + name + " is given twice", usage}
		}
	}
	return query, nil
}

// check looks at the parts of a bucket's address.
func (w Where) check() error {
	switch {
	case !fits(bucketForm, w.Bucket) || strings.Contains(w.Bucket, ".."):
		return &Error{"that is not a bucket's name",
			"3 to 63 lower-case letters, digits, '-' and '.'; " + usage}
	case w.Prefix != "" && !fits(prefixForm, w.Prefix), len(w.Prefix) > maxPrefix, w.Prefix != "" &&
		path.Clean(w.Prefix) != w.Prefix, strings.HasPrefix(w.Prefix, ".."):
		return &Error{"what is written after the bucket cannot be used",
			"letters, digits, '-', '_' and '.' between slashes"}
	case w.Region != "" && !fits(regionForm, w.Region):
		return &Error{"that is not a region's name", "as the store gives it, like eu-central-1"}
	}
	u, err := url.Parse(w.Endpoint)
	if err != nil || u.Host == "" || u.Scheme != "https" && u.Scheme != "http" ||
		u.User != nil || u.Path != "" || u.RawQuery != "" || u.Fragment != "" {
		return &Error{"the endpoint can't be used",
			"https://host or https://host:port, and nothing after it"}
	}
	return nil
}

// String returns the address in the form that Parse reads to the same Where,
// whatever the environment then says.
func (w Where) String() string {
	if w.Folder != "" {
		return w.Folder
	}
	query := url.Values{"endpoint": {w.Endpoint}, "region": {w.Region}}
	u := url.URL{Scheme: "s3", Host: w.Bucket, Path: "/" + w.Prefix,
		RawQuery: strings.NewReplacer("%3A", ":", "%2F", "/").Replace(query.Encode())} // legal there, and read
	return u.String()
}

// HintOf returns the hint of the *Error in err's chain, "" without one.
func HintOf(err error) string {
	var own *Error
	if errors.As(err, &own) {
		return own.Hint
	}
	return ""
}
