package sqlite

import "database/sql"

// Pool is the pool of connections, for tests that ask each of them.
func (s *Store) Pool() *sql.DB { return s.db }

// Schema and application id of this version, for tests of files.
const (
	SchemaVersion = schemaVersion
	ApplicationID = applicationID
)
