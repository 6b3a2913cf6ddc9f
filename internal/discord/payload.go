package discord

// The bodies we send. They hold only fields that the API takes: an unknown or
// null extra is refused for commands, choices, forms and attachments.

// Kinds of first answers.
const (
	answerPong         = 1
	answerMessage      = 4
	answerDefer        = 5
	answerDeferUpdate  = 6
	answerUpdate       = 7
	answerSuggestions  = 8
	answerForm         = 9
	flagEphemeral      = 64
	flagLoading        = 128 // announced, and not there yet
	maxChoices         = 25
	maxEmbedTitle      = 256
	maxEmbedText       = 4096
	maxEmbedSum        = 6000
	maxAltText         = 1024
	maxFiles           = 10
	maxRows            = 5
	maxButtonsInRow    = 5
	maxButtonLabel     = 80
	maxCustomID        = 100
	maxFormTitle       = 45
	maxFormFields      = 5
	maxFormLabel       = 45
	maxFormDescription = 100
	maxPlaceholder     = 100
	maxFormText        = 4000
)

// callback is a first answer.
type callback struct {
	Type int `json:"type"`
	Data any `json:"data,omitempty"`
}

// deferData is the whole body of a deferral: nothing but the flag is taken,
// and the later edit cannot change it.
type deferData struct {
	Flags int `json:"flags,omitempty"`
}

// message is a message's content in an answer, an edit or a follow-up. The
// lists are always sent: in an edit a missing list would keep the old one.
type message struct {
	Content     *string      `json:"content,omitempty"`
	Embeds      []embed      `json:"embeds"`
	Mentions    mentions     `json:"allowed_mentions"`
	Components  []row        `json:"components"`
	Attachments []attachment `json:"attachments"`
	Flags       int          `json:"flags,omitempty"`
}

// mentions says who a message may call: with an empty list, nobody.
type mentions struct {
	Parse []string `json:"parse"`
	Users []string `json:"users,omitempty"`
}

// post is a message that comes by itself. The service refuses to show a second
// one with the same nonce, for some minutes.
type post struct {
	message
	Nonce        string `json:"nonce"`
	EnforceNonce bool   `json:"enforce_nonce"`
}

// directChannel opens the channel of direct messages with a user.
type directChannel struct {
	Recipient string `json:"recipient_id"`
}

func nobody() mentions { return mentions{Parse: []string{}} }

type embed struct {
	Title       string       `json:"title,omitempty"`
	Description string       `json:"description,omitempty"`
	Color       int          `json:"color,omitempty"`
	Fields      []embedField `json:"fields,omitempty"`
	Image       *embedImage  `json:"image,omitempty"`
	Footer      *embedFooter `json:"footer,omitempty"`
}

type embedField struct {
	Name   string `json:"name"`
	Value  string `json:"value"`
	Inline bool   `json:"inline,omitempty"`
}

type embedImage struct {
	URL string `json:"url"`
}

type embedFooter struct {
	Text string `json:"text"`
}

// attachment describes the upload with the same number.
type attachment struct {
	ID          int    `json:"id"`
	Filename    string `json:"filename"`
	Description string `json:"description,omitempty"`
}

// row is an action row of a message: up to five buttons or one select.
type row struct {
	Type       int   `json:"type"`
	Components []any `json:"components"`
}

type button struct {
	Type     int    `json:"type"`
	Style    int    `json:"style"`
	Label    string `json:"label"`
	CustomID string `json:"custom_id"`
}

// messageSelect is a list to choose one of.
type messageSelect struct {
	Type        int            `json:"type"`
	CustomID    string         `json:"custom_id"`
	Placeholder string         `json:"placeholder,omitempty"`
	Options     []selectOption `json:"options"`
}

const (
	buttonPrimary   = 1
	buttonSecondary = 2
)

// suggestions answers a completion. An empty list must be sent as one.
type suggestions struct {
	Choices []stringChoice `json:"choices"`
}

type stringChoice struct {
	Name  string `json:"name"`
	Value string `json:"value"`
}

// form is a modal.
type form struct {
	CustomID   string  `json:"custom_id"`
	Title      string  `json:"title"`
	Components []label `json:"components"`
}

// label is a form's row: a caption and one input.
type label struct {
	Type        int    `json:"type"`
	Label       string `json:"label"`
	Description string `json:"description,omitempty"`
	Component   any    `json:"component"`
}

type textInput struct {
	Type        int    `json:"type"`
	CustomID    string `json:"custom_id"`
	Style       int    `json:"style"`
	Value       string `json:"value,omitempty"`
	Placeholder string `json:"placeholder,omitempty"`
	Required    bool   `json:"required"`
	MaxLength   int    `json:"max_length,omitempty"`
}

const (
	inputLine      = 1
	inputParagraph = 2
)

type formSelect struct {
	Type        int            `json:"type"`
	CustomID    string         `json:"custom_id"`
	Placeholder string         `json:"placeholder,omitempty"`
	Required    bool           `json:"required"`
	Options     []selectOption `json:"options"`
}

type selectOption struct {
	Label   string `json:"label"`
	Value   string `json:"value"`
	Default bool   `json:"default,omitempty"`
}

type fileUpload struct {
	Type     int    `json:"type"`
	CustomID string `json:"custom_id"`
	Required bool   `json:"required"`
}
