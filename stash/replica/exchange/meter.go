package exchange

import (
	"context"

	"endsmeet/stash/remote"
)

// Traffic counts what an exchange asked of the shared place.
type Traffic struct {
	Lists   int   `json:"lists"`
	Gets    int   `json:"gets"`
	Puts    int   `json:"puts"`
	Deletes int   `json:"deletes"`
	Up      int64 `json:"bytes_up"`
	Down    int64 `json:"bytes_down"`
}

// Requests is the number of calls.
func (t Traffic) Requests() int { return t.Lists + t.Gets + t.Puts + t.Deletes }

// meter is a shared place that counts. It is used by one goroutine.
type meter struct {
	under   remote.Remote
	Traffic Traffic
}

// Put implements remote.Remote, and counts.
func (m *meter) Put(ctx context.Context, name remote.Name, data []byte) error {
	m.Traffic.Puts++
	m.Traffic.Up += int64(len(data))
	return m.under.Put(ctx, name, data)
}

// Get implements remote.Remote, and counts.
func (m *meter) Get(ctx context.Context, name remote.Name) ([]byte, error) {
	m.Traffic.Gets++
	data, err := m.under.Get(ctx, name)
	m.Traffic.Down += int64(len(data))
	return data, err
}

// List implements remote.Remote, and counts.
func (m *meter) List(ctx context.Context, prefix string, after remote.Name) (remote.Listing,
	error) {
	m.Traffic.Lists++
	found, err := m.under.List(ctx, prefix, after)
	for _, name := range found.Names {
		m.Traffic.Down += int64(len(name))
	}
	return found, err
}

// Delete implements remote.Remote, and counts.
func (m *meter) Delete(ctx context.Context, name remote.Name) error {
	m.Traffic.Deletes++
	return m.under.Delete(ctx, name)
}
