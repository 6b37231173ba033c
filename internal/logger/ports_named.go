//go:build !linux && !windows && !freebsd && !(darwin && cgo)

package logger

import (
	"fmt"

	"go.bug.st/serial"
)

// systemPorts knows only names where the enumerator needs cgo.
func systemPorts() ([]Port, error) {
	names, err := serial.GetPortsList()
	if err != nil {
		return nil, fmt.Errorf("the serial ports can't be listed: %w", err)
	}
	var list []Port
	for _, n := range names {
		if n != "" {
			list = append(list, Port{Name: n})
		}
	}
	return list, nil
}
