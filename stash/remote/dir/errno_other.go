//go:build !windows

package dir

// systemClasses is empty where the portable names say everything.
var systemClasses []class
