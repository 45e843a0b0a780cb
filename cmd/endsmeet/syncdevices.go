package main

import (
	"fmt"
	"io"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
)

func syncDevicesCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "devices", ArgsUsage: "[list|name|add|remove|code] ...",
		Usage:  "List, name, add or remove machines.",
		Action: action(e, 0, 0, devicesList),
		Subcommands: []*cli.Command{
			{Name: "list", Usage: "List the machines.", Action: action(e, 0, 0, devicesList)},
			{Name: "name", ArgsUsage: "[MACHINE] NAME", Usage: "Name this machine, or another.",
				Action: action(e, 1, 2, devicesName)},
			{Name: "add", Usage: "Show a code with which one more machine can join.",
				Action: action(e, 0, 0, devicesAdd)},
			{Name: "remove", ArgsUsage: "MACHINE",
				Usage:  "Shut a machine out, with a new key and a new pass-phrase.",
				Action: action(e, 1, 1, devicesRemove)},
			{Name: "code", Usage: "Print a new code to keep in a safe place; the old one stops working.", Action: action(e, 0, 0, devicesCode)},
		},
	}
}

func devicesList(k *call) error {
	r, err := k.replica()
	if err != nil {
		return err
	}
	machines, err := r.Devices(k.ctx)
	if err != nil {
		return err
	}
	if err := r.Meet(k.ctx); err != nil {
		k.note("as they were known here last: %v", err)
	} else if machines, err = r.Devices(k.ctx); err != nil {
		return err
	}
	return k.told(k.answer(machines, func(w io.Writer) {
		t := show.NewTable("machine", "id")
		for _, m := range machines {
			t.Add(show.MachineWords(m), m.ID)
		}
		t.Print(w)
	}))
}

func devicesName(k *call) error {
	machine, name := "this", k.Args().First()
	if k.NArg() == 2 {
		machine, name = k.Args().Get(0), k.Args().Get(1)
	}
	r, err := k.replica()
	if err != nil {
		return err
	}
	if err := r.Rename(k.ctx, machine, name); err != nil {
		return err
	}
	return devicesList(k)
}

func devicesAdd(k *call) error {
	r, err := k.replica()
	if err != nil {
		return err
	}
	code, err := r.Invite(k.ctx)
	if err != nil {
		return err
	}
	return k.told(k.answer(map[string]string{"code": code}, func(w io.Writer) {
		fmt.Fprintf(w, "On the other machine: `endsmeet sync join WHERE`, and when it asks, this code:\n\n    %s\n\n", code)
		fmt.Fprintln(w, "It is good for one machine. Whoever reads it meanwhile can join too.")
	}))
}

func devicesCode(k *call) error {
	r, err := k.replica()
	if err != nil {
		return err
	}
	code, err := r.Recode(k.ctx)
	if err != nil {
		return err
	}
	return k.told(k.answer(map[string]string{"recovery_code": code},
		func(w io.Writer) { show.PrintCode(w, code) }))
}

func devicesRemove(k *call) error {
	r, err := k.replica()
	if err != nil {
		return err
	}
	phrase, err := k.newPhrase("new pass-phrase, which the removed machine does not know")
	if err != nil {
		return err
	}
	done, err := r.Remove(k.ctx, k.Args().First(), phrase)
	if err != nil {
		return err
	}
	return k.told(k.answer(show.MachineRemoved{Machine: done.Machine, Code: done.Code},
		func(w io.Writer) {
			fmt.Fprint(w, show.Wrap(fmt.Sprintf("%s is shut out. What is put from now on it cannot read, and what it writes is not taken in. "+
				"All that lay in the shared place until now it could read, may have copied, and can still read there; so can whoever has it. "+
				"If it was lost or stolen, its own copy of the stash is with whoever has it.",
				done.Machine.Name), "", show.RoomOf(w)))
			show.PrintCode(w, done.Code)
			fmt.Fprintln(w, "The old pass-phrase and the old code open nothing new.")
		}))
}
