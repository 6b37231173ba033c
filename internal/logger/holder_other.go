//go:build !linux

package logger

func foreignHold(string, *portLock) bool { return false }

func portHolders(string, *portLock) []string { return nil }
