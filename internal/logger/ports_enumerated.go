//go:build windows || freebsd || (darwin && cgo)

package logger

import (
	"fmt"

	"go.bug.st/serial/enumerator"
)

func systemPorts() ([]Port, error) {
	found, err := enumerator.GetDetailedPortsList()
	if err != nil {
		return nil, fmt.Errorf("the serial ports can't be listed: %w", err)
	}
	var list []Port
	for _, d := range found {
		if d == nil || d.Name == "" { // the library can return an empty entry
			continue
		}
		list = append(list, Port{Name: d.Name, USB: d.IsUSB, VendorID: d.VID, ModelID: d.PID,
			Serial: d.SerialNumber, Maker: d.Manufacturer, Product: d.Product})
	}
	return list, nil
}
