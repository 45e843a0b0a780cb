package remotetest

import (
	"context"
	"slices"
	"strings"
	"sync"

	"endsmeet/stash/remote"
)

// Memory is a shared place that lives in the test's memory and keeps to the
// contract. All who share it use the same *Memory.
type Memory struct {
	mu      sync.Mutex
	objects map[string][]byte
}

// NewMemory returns an empty place.
func NewMemory() *Memory { return &Memory{objects: map[string][]byte{}} }

// Plant stores data under any name, also one outside the grammar, as a
// syncing service or a damaged medium might.
func (m *Memory) Plant(name string, data []byte) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.objects[name] = slices.Clone(data)
}

// Put stores a copy of data. See remote.Remote.
func (m *Memory) Put(ctx context.Context, name remote.Name, data []byte) error {
	if err := begin(ctx, name.Check()); err != nil {
		return err
	}
	m.Plant(string(name), data)
	return nil
}

// Get returns a copy of what is stored. See remote.Remote.
func (m *Memory) Get(ctx context.Context, name remote.Name) ([]byte, error) {
	if err := begin(ctx, name.Check()); err != nil {
		return nil, err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	data, ok := m.objects[string(name)]
	if !ok {
		return nil, &remote.Error{Kind: remote.NotFound, Op: "get", Object: string(name)}
	}
	return append([]byte{}, data...), nil
}

// List lists what is stored. See remote.Remote.
func (m *Memory) List(ctx context.Context, prefix string, after remote.Name) (remote.Listing,
	error) {
	grammar := remote.CheckPrefix(prefix)
	if grammar == nil && after != "" {
		grammar = after.Check()
	}
	if err := begin(ctx, grammar); err != nil {
		return remote.Listing{}, err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	var found remote.Listing
	for key := range m.objects {
		name, err := remote.ParseName(key)
		switch {
		case !strings.HasPrefix(key, prefix):
		case err != nil:
			found.Ignore(key)
		case name > after:
			found.Names = append(found.Names, name)
		}
	}
	slices.Sort(found.Names)
	return found, nil
}

// Delete forgets name. See remote.Remote.
func (m *Memory) Delete(ctx context.Context, name remote.Name) error {
	if err := begin(ctx, name.Check()); err != nil {
		return err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	delete(m.objects, string(name))
	return nil
}

func begin(ctx context.Context, grammar error) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	return grammar
}
