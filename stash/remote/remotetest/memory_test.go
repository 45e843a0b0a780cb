package remotetest_test

import (
	"testing"

	"endsmeet/stash/remote"
	"endsmeet/stash/remote/remotetest"
)

func TestMemoryKeepsTheContract(t *testing.T) {
	remotetest.Run(t, func(*testing.T) remotetest.Place {
		m := remotetest.NewMemory()
		return remotetest.Place{
			Open:  func(*testing.T) remote.Remote { return m },
			Plant: func(_ *testing.T, name string, data []byte) { m.Plant(name, data) },
		}
	})
}
