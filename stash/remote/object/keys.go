package object

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"github.com/aws/aws-sdk-go-v2/aws"
	"gopkg.in/ini.v1"
)

const noKeys = "set AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY, or write a profile into ~/.aws/credentials (AWS_PROFILE chooses another than default)"

// usual finds credentials in the environment, else in the shared files. A
// file that is there and wrong is an error, not the same as no file.
type usual struct{}

// Retrieve returns the credentials.
func (usual) Retrieve(ctx context.Context) (aws.Credentials, error) {
	keys := aws.Credentials{
		AccessKeyID:     cmp.Or(os.Getenv("AWS_ACCESS_KEY_ID"), os.Getenv("AWS_ACCESS_KEY")),
		SecretAccessKey: cmp.Or(os.Getenv("AWS_SECRET_ACCESS_KEY"), os.Getenv("AWS_SECRET_KEY")),
		SessionToken:    os.Getenv("AWS_SESSION_TOKEN"),
	}
	if keys.HasKeys() {
		return keys, nil
	}
	p, err := readProfile(cmp.Or(os.Getenv("AWS_PROFILE"), "default"))
	if err != nil {
		return aws.Credentials{}, err
	}
	return p.keys(ctx)
}

// profile is what the shared files say under one name.
type profile map[string]string

// readProfile reads a profile: from the config file, where it is called
// "profile NAME", and over that from the credentials file (AWS SDKs and Tools
// Reference Guide, "Shared config and credentials files"; from memory). A pair
// of keys is taken from one file, never half of it.
func readProfile(name string) (profile, error) {
	inConfig := "profile " + name
	if name == "default" {
		inConfig = name
	}
	p := make(profile)
	for _, file := range []struct{ path, section string }{
		{sharedFile(os.Getenv("AWS_CONFIG_FILE"), "config"), inConfig},
		{sharedFile(os.Getenv("AWS_SHARED_CREDENTIALS_FILE"), "credentials"), name},
	} {
		if file.path == "" {
			continue
		}
		all, err := ini.Load(file.path)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return nil, fmt.Errorf("the shared credentials file cannot be used: %w", err)
		}
		if section, err := all.GetSection(file.section); err == nil {
			p.override(section.KeysHash())
		}
	}
	return p, nil
}

// override lets a file's settings go before those that are there.
func (p profile) override(settings map[string]string) {
	const key, secret, token = "aws_access_key_id", "aws_secret_access_key", "aws_session_token"
	if settings[key] != "" && settings[secret] != "" {
		delete(p, token)
	} else if p[key] != "" && p[secret] != "" {
		delete(settings, key)
		delete(settings, secret)
		delete(settings, token)
	}
	for name, value := range settings {
		p[name] = value
	}
}

// sharedFile is the path of a shared file: the one told, else that in the home folder; empty
// without one.
func sharedFile(told, name string) string {
	if told != "" {
		return told
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return ""
	}
	return filepath.Join(home, ".aws", name)
}

// keys are the keys of the profile itself, else those that the program named in
// it prints.
func (p profile) keys(ctx context.Context) (aws.Credentials, error) {
	keys := aws.Credentials{AccessKeyID: p["aws_access_key_id"],
		SecretAccessKey: p["aws_secret_access_key"], SessionToken: p["aws_session_token"]}
	switch {
	case keys.HasKeys():
		return keys, nil
	case keys.AccessKeyID != "" || keys.SecretAccessKey != "":
		return aws.Credentials{},
			errors.New("the profile has one of aws_access_key_id and aws_secret_access_key, not both")
	case p["credential_process"] != "":
		return askProgram(ctx, strings.Fields(p["credential_process"]))
	}
	for _, name := range []string{"sso_session", "sso_start_url", "sso_role_name", "role_arn"} {
		if p[name] != "" {
			return aws.Credentials{},
				fmt.Errorf("the profile has %s, which needs a program that signs in; name one that prints the keys as credential_process", name)
		}
	}
	return aws.Credentials{}, errors.New("no credentials in the environment or in the shared files")
}

// askProgram runs a program that prints credentials as JSON (AWS SDKs and Tools
// Reference Guide, "Process credential provider"; from memory).
func askProgram(ctx context.Context, command []string) (aws.Credentials, error) {
	var printed struct {
		Version                                    int
		AccessKeyId, SecretAccessKey, SessionToken string //nolint:revive // the names in the JSON
		Expiration                                 *time.Time
	}
	out, err := exec.CommandContext(ctx, command[0], command[1:]...).Output()
	if err == nil {
		err = json.Unmarshal(out, &printed)
	}
	if err != nil {
		return aws.Credentials{}, fmt.Errorf("the profile's credential_process: %w", err)
	}
	keys := aws.Credentials{AccessKeyID: printed.AccessKeyId,
		SecretAccessKey: printed.SecretAccessKey, SessionToken: printed.SessionToken}
	if printed.Version != 1 || !keys.HasKeys() {
		return aws.Credentials{},
			errors.New("the profile's credential_process printed no credentials of version 1")
	}
	if printed.Expiration != nil {
		keys.CanExpire, keys.Expires = true, *printed.Expiration
	}
	return keys, nil
}
