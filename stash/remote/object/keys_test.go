package object_test

import (
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"endsmeet/stash/remote"
	"endsmeet/stash/remote/remotetest"
)

// The places and precedence of keys are those of the AWS SDKs and Tools
// Reference Guide (from memory).
func TestKeysFromTheUsualPlaces(t *testing.T) {
	const pair = "aws_secret_access_key = s\naws_access_key_id = "
	const session = "\naws_session_token = "
	for _, c := range []struct {
		name, profile, config, credentials string
		// the key and the token; empty where it is refused
		want string
		why  string
	}{
		{"the credentials file", "", "", "[default]\n" + pair + "file", "file ", ""},
		{"the config file", "", "[default]\n" + pair + "config", "", "config ", ""},
		{"the credentials file goes first", "", "[default]\n" + pair + "config" + session + "old",
			"[default]\n" + pair + "file", "file ", ""},
		{"half a pair does not", "", "[default]\n" + pair + "config" + session + "t",
			"[default]\naws_access_key_id = half", "config t", ""},
		{"a profile", "looms", "[profile looms]\n" + pair + "config", "[default]\n" + pair +
			"other", "config ", ""},
		{"a profile of the credentials file", "looms", "[looms]\n" + pair + "not this",
			"[looms]\n" + pair + "file" + session + "t", "file t", ""},
		{"a program", "", "[default]\ncredential_process = sh PROGRAM", "", "printed t", ""},
		{"keys go before a program", "", "[default]\ncredential_process = sh PROGRAM",
			"[default]\n" + pair + "file", "file ", ""},
		{"another profile than there is", "looms", "", "[default]\n" + pair + "file", "",
			"no credentials"},
		{"half a pair alone", "", "", "[default]\naws_access_key_id = half", "", "not both"},
		{"a program that fails", "", "[default]\ncredential_process = sh nowhere", "", "",
			"credential_process"},
		{"a program that prints something else", "", "[default]\ncredential_process = echo {}", "",
			"", "no credentials of version 1"},
		{"signing in", "", "[default]\nsso_session = looms", "", "", "credential_process"},
		{"a role", "", "[default]\nrole_arn = looms", "", "", "credential_process"},
		{"a config file that is none", "", "[default\nbroken", "", "", "cannot be used"},
	} {
		t.Run(c.name, func(t *testing.T) {
			home := noKeys(t)
			if c.profile != "" {
				t.Setenv("AWS_PROFILE", c.profile)
			}
			program := filepath.Join(home, "print")
			writeKeys(t, program,
				`echo '{"Version": 1, "AccessKeyId": "printed", "SecretAccessKey": "s", "SessionToken": "t", "Expiration": "2099-01-01T00:00:00Z"}'`)
			if err := os.Mkdir(filepath.Join(home, ".aws"), 0o700); err != nil {
				t.Fatal(err)
			}
			for name, text := range map[string]string{"config": c.config,
				"credentials": c.credentials} {
				if text != "" {
					writeKeys(t, filepath.Join(home, ".aws", name),
						strings.ReplaceAll(text, "PROGRAM", program)+"\n")
				}
			}
			used := ""
			options := nowhere()
			options.Transport = trip(func(r *http.Request) (*http.Response, error) {
				_, rest, _ := strings.Cut(r.Header.Get("Authorization"), "Credential=")
				used, _, _ = strings.Cut(rest, "/")
				used += " " + r.Header.Get("X-Amz-Security-Token")
				return answer(r, http.StatusNotFound, "NoSuchKey"), nil
			})
			_, err := open(t, options).Get(t.Context(), "head/a")
			if used != c.want || c.want == "" &&
				(remote.KindOf(err) != remote.Denied || !strings.Contains(err.Error(), c.why) ||
					remotetest.HintOf(err) == "") {
				t.Errorf("signed with %q, %v; want %q, %q", used, err, c.want, c.why)
			}
		})
	}
}
