package sqlite

import "database/sql"

// Pool is the pool of connections, for tests that ask each of them.
func (s *Store) Pool() *sql.DB { return s.db }

// Schema and application id of this version, for tests of files.
const (
	SchemaVersion = schemaVersion
	ApplicationID = applicationID
)

// IndexedSteps are the steps of match that must look into an index, with what is
// asked of each hit.
func IndexedSteps() []string {
	var out []string
	for _, steps := range [][]string{packageSteps, otherSteps} {
		for _, step := range steps[:len(steps)-1] {
			out = append(out, hitsQuery(step))
		}
	}
	return out
}
