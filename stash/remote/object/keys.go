package object

import (
	"errors"
	"fmt"
	"io/fs"

	"github.com/minio/minio-go/v7/pkg/credentials"
)

const noKeys = "set AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY, or write a profile into ~/.aws/credentials (AWS_PROFILE chooses another than default)"

// usual finds credentials in the environment, else in the shared files. A
// file that is there and wrong is an error, not the same as no file.
type usual struct {
	environment credentials.EnvAWS
	files       credentials.FileAWSCredentials
	fromFiles   bool
}

// Retrieve returns the credentials.
func (u *usual) Retrieve() (credentials.Value, error) { return u.RetrieveWithCredContext(nil) }

// RetrieveWithCredContext returns the credentials; cc carries the client for
// the profiles that ask a server.
func (u *usual) RetrieveWithCredContext(cc *credentials.CredContext) (credentials.Value, error) {
	u.fromFiles = false
	value, err := u.environment.RetrieveWithCredContext(cc)
	if err == nil && value.AccessKeyID != "" && value.SecretAccessKey != "" {
		return value, nil
	}
	u.fromFiles = true
	if cc == nil {
		cc = &credentials.CredContext{}
	}
	value, err = u.files.RetrieveWithCredContext(cc)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return credentials.Value{}, fmt.Errorf("the shared credentials file cannot be used: %w", err)
	}
	if value.AccessKeyID == "" || value.SecretAccessKey == "" {
		return credentials.Value{}, errors.New("no credentials in the environment or in the shared files")
	}
	return value, nil
}

// IsExpired tells whether they must be read again.
func (u *usual) IsExpired() bool {
	if u.fromFiles {
		return u.files.IsExpired()
	}
	return u.environment.IsExpired()
}
