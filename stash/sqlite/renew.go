package sqlite

// Renew has this replica write under new lanes, and draw a new secret for its
// keys, from now on: under the old ones it was shut out of a shared place. What
// it wrote stays, and can still be signed for.
func (tx *Tx) Renew() error {
	if err := tx.writeTips(); err != nil {
		return tx.fail(err)
	}
	clear(tx.lanes)
	_, err := tx.store.changeKeys(func(keys *keyFile) (bool, error) {
		keys.Former = keys.allLanes()
		keys.Lanes = map[string]laneKey{openLane: tx.store.newKey()}
		keys.Device = ""
		return true, nil
	})
	return tx.fail(err)
}
