package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"fillwright/internal/logger"
)

// cable is where a logger is, and how it speaks.
type cable struct {
	port, tcp, format, header string
	baud                      int
}

func (o *cable) flags(c *cobra.Command) {
	f := c.Flags()
	f.StringVar(&o.port, "port", "", "serial `port` of the logger (see: fillwright ports)")
	f.StringVar(&o.tcp, "tcp", "", "`host:port` of a logger on the network")
	f.IntVar(&o.baud, "baud", logger.BaudDefault, "speed of the serial port")
	f.StringVar(&o.header, "header", "", "`header` of a logger that prints lines without one")
}

// formatFlag is for who may have to be told how the logger speaks.
func (o *cable) formatFlag(c *cobra.Command) {
	c.Flags().StringVar(&o.format, "format", "auto", "how the logger speaks: auto, frames or lines")
}

func (o *cable) opener() logger.Opener {
	if o.tcp != "" {
		return logger.TCP{Address: o.tcp}
	}
	return logger.NewSerial(o.port, o.baud)
}

func (o *cable) decoder() (*logger.Auto, error) {
	format, err := logger.ParseFormat(o.format)
	if err != nil {
		return nil, usage("%s", err)
	}
	decoder, err := logger.NewAuto(format, o.header)
	if err != nil {
		return nil, usage("--header: %s", err)
	}
	return decoder, nil
}

// baudMost is more than any serial port does.
const baudMost = 20_000_000

// checkBaud refuses a speed that is none.
func (o *cable) checkBaud() error {
	if o.baud < 50 || o.baud > baudMost {
		return usage("--baud %d is no speed of a serial port", o.baud).hint(fmt.Sprintf("give what the logger speaks at, such as --baud %d", logger.BaudDefault))
	}
	return nil
}

// given is how many of these were named.
func given(named ...bool) (n int) {
	for _, is := range named {
		if is {
			n++
		}
	}
	return n
}
