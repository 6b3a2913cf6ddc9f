package discord

import (
	"strings"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
)

// keyPrefix keeps chat members and shops apart from local ones.
const keyPrefix = "discord:"

// Permissions that make a member a manager of the shop (Permissions, "Bitwise
// Permission Flags").
const (
	permissionAdministrator = 1 << 3
	permissionManageGuild   = 1 << 5
)

// moreID is the custom_id of the select that takes the actions for which there
// are no buttons; its values are the actions' own ids.
const moreID = "more"

// toInvocation says who calls what. wanted lists, by option name, the files
// that must be fetched before the call.
func toInvocation(i *Interaction, at time.Time) (inv chat.Invocation, wanted map[string]RemoteFile) {
	inv = chat.Invocation{
		ID: i.ID, At: at, Locale: i.Locale,
		MemberKey: keyPrefix + i.User.ID, MemberName: i.DisplayName(),
		// A form can't follow a form.
		Forms: i.Type == TypeCommand || i.Type == TypeComponent,
		Alone: i.Context == contextBotDM,
	}
	inv.ShopKey, inv.ShopName, inv.Manager = shopOf(i)
	if i.InstalledInGuild() {
		inv.Place = i.ChannelID // elsewhere we reach nobody but the member
	}
	wanted = make(map[string]RemoteFile)
	switch {
	case i.Command != nil:
		inv.Command = i.Command.Name
		inv.Sub = strings.TrimSpace(i.Command.Group + " " + i.Command.Sub)
		inv.Raw = make(map[string]string, len(i.Command.Options))
		for _, o := range i.Command.Options {
			inv.Raw[o.Name] = optionText(i, o, wanted)
		}
	case i.Press != nil:
		inv.Press = i.Press.ID
		if i.Press.ID == moreID && len(i.Press.Values) > 0 {
			inv.Press = i.Press.Values[0]
		}
	case i.Form != nil:
		inv.Press = i.Form.ID
		inv.Filled = make(map[string]string, len(i.Form.Fields))
		for _, f := range i.Form.Fields {
			inv.Filled[f.ID] = fieldText(i, f, wanted)
		}
	}
	return inv, wanted
}

// shopOf is the guild, where the application was added to it. Elsewhere a
// member has a shop of their own: a direct message, or a guild that did not
// ask for us and so must not keep or see anything.
func shopOf(i *Interaction) (key, name string, manager bool) {
	if !i.InstalledInGuild() {
		return keyPrefix + i.User.ID, i.User.Name + "'s bench", true
	}
	name = i.GuildName
	if name == "" {
		name = "this server"
	}
	manager = i.Member != nil && i.Member.Permissions&(permissionAdministrator|permissionManageGuild) != 0
	return keyPrefix + i.GuildID, name, manager
}

func optionText(i *Interaction, o OptionValue, wanted map[string]RemoteFile) string {
	switch o.Type {
	case optionUser:
		return keyPrefix + o.Text
	case optionAttachment:
		return want(i, o.Name, o.Text, wanted)
	}
	return o.Text
}

func fieldText(i *Interaction, f FieldValue, wanted map[string]RemoteFile) string {
	if f.Type == componentUpload {
		if len(f.Values) == 0 {
			return ""
		}
		return want(i, f.ID, f.Values[0], wanted)
	}
	return strings.Join(f.Values, ", ")
}

// want notes a file to fetch and returns its name. An id that nothing stands
// behind gives a name without a file, which the dispatcher refuses in words.
func want(i *Interaction, option, id string, wanted map[string]RemoteFile) string {
	f, ok := i.Files[id]
	if !ok {
		return "file"
	}
	wanted[option] = f
	return fileName(f.Name)
}
