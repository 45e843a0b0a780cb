package format

import (
	"crypto/ed25519"
	"encoding/json"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// deviceRecord is what lies in an object under dev/, sealed: a record as JSON
// text and who vouches for it, the lane itself or another that is known.
type deviceRecord struct {
	Device    string     `json:"device"`
	By        stash.Lane `json:"by"`
	Signature []byte     `json:"signature"`
}

func deviceMessage(vaultID, device string) []byte {
	return []byte("endsmeet device 1\n" + vaultID + "\n" + device)
}

// SealDevice makes the object of a record.
func (v *Vault) SealDevice(d Device, signer sqlite.Signer) (DeviceName, []byte, error) {
	text, err := json.Marshal(d)
	if err != nil {
		return DeviceName{}, nil, err
	}
	raw, err := json.Marshal(deviceRecord{string(text), signer.Lane,
		ed25519.Sign(signer.Key, deviceMessage(v.ID, string(text)))})
	if err != nil {
		return DeviceName{}, nil, err
	}
	data, err := v.Current().encrypt(raw)
	return DeviceName{d.Lane, HashOf(data)}, data, err
}

// OpenDevice verifies a record and reads it. It must be sealed with the
// current key: one that is sealed with an older key may come from a machine
// that was removed since. Every error is a *BadObject.
func (v *Vault) OpenDevice(n DeviceName, data []byte) (Device, error) {
	name := n.Name()
	var d Device
	if HashOf(data) != n.object {
		return d, Bad(name, StepHash,
			"its content is not what its name says: it was altered or damaged")
	}
	raw, err := v.Current().decrypt(data)
	if err != nil {
		return d, Bad(name, StepAge, "it cannot be opened with the current key: %v", err)
	}
	var r deviceRecord
	if json.Unmarshal(raw, &r) != nil || json.Unmarshal([]byte(r.Device), &d) != nil ||
		d.Lane != n.Lane || len(d.Key) != ed25519.PublicKeySize {
		return d, Bad(name, StepFormat, "it holds no record that can be read")
	}
	by, ok := v.Device(r.By)
	if r.By == d.Lane {
		by, ok = d, true
	}
	if !ok {
		return d, Bad(name, StepRegister, "the machine that vouches for it is not registered")
	}
	if _, gone := v.RemovedLane(r.By); gone || !ed25519.Verify(ed25519.PublicKey(by.Key),
		deviceMessage(v.ID, r.Device), r.Signature) {
		return d, Bad(name, StepSignature,
			"it was not signed by the machine itself or one that is known")
	}
	if _, gone := v.RemovedLane(d.Lane); gone {
		return d, Bad(name, StepSignature, "it is of %s, which was removed", v.Label(d.Lane))
	}
	return d, nil
}
