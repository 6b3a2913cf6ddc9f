package diagnose

import "strings"

// means is what words mean that are said for one thing, each line the concept
// and then the words.
var means = wordsOf(`
	soft: soft jello squishy mushy gooey gummy rubbery flexible bendy bend floppy uncured undercured liquid runny goo goopy jelly wet pudding cheesy
	tacky: tacky sticky stickiness tack gluey greasy
	set: set cure cured curing harden hardened kick kicked solidify solid gel gelled gelling
	hard: hard firm
	stiff: stiff stiffer leathery
	dry: dry dried
	not: not never no didnt doesnt wont isnt hasnt cant cannot wasnt without dont couldnt arent havent
	bubble: bubble bubbles pinhole pinholes microbubble microbubbles pit pits pitted crater craters pimple pimples champagne airbubble
	void: void voids pocket pockets hole holes cavity gap gaps
	air: air
	foam: foam foamed foaming foamy froth frothy overflow overflows overflowed overflowing boiled boils sponge spongy fizz fizzes fizzy bread rose rise rises risen rising expanded expand expands swelled grew
	swollen: swell swells swollen bulge bulges bulging puffed puffy balloon ballooned bloated hiss hisses
	stick: stuck stick sticks sticking bonded bond fused fuse glued
	release: release released unmold
	out: out
	demold: demold demolding demould demolded demoulding
	tear: tear tears tore torn rip rips ripped ripping split splitting
	crack: crack fracture fractures fractured broke broken cracks cracked cracking crazing craze shattered shatter brittle
	warp: warp warped warping warps bent curled curl twisted twist bowed bow crooked deformed banana sagged
	sag: sag sags sagging slide slides slid drips drip slump slumps slumped
	sink: sink sinks sank dip dips depression depressions dent dents dented sunken
	settle: settle settled settles sediment
	shrink: shrink shrank shrunk shrinks shrinkage small smaller undersized undersize
	small: tiny fine little
	cloudy: cloudy cloud matte matt foggy fog milky haze hazy dull  frosted
	yellow: yellow yellowed yellowing brown browned amber burnt burned scorched scorch discolored discoloured charred
	center: center centre middle core inside interior
	edge: edge edges rim rims fin fins tip tips
	thin: thin thinner
	thick: thick thicker thickened
	fast: fast short quick quickly early soon
	slow: slow ever slowly slower forever ages longer long hours twice
	time: time
	cup: cup cups bucket beaker
	hot: hot smoke smoked smoking smokes heat overheated boiling steaming
	streak: streak streaks streaky swirl swirls swirly marbled marbling stripe stripes
	spot: spot spots patch patches patchy bits bit corner
	color: color colour colors colored coloured tint tinted pigment dye dyed dyes tints pigments colorant
	pale: pale paler pastel light lighter faded washed
	different: different difference differently wrong shifted shift changed change mismatch
	filler: filler glitter fillers powder microsphere microspheres powders balloons
	lump: lump lumps lumpy clump clumps clumpy chunk chunks
	crystal: crystal snowflakes crystals crystallized crystallised frozen froze gritty grains
	jug: jug jugs bottle bottles can cans container containers canister
	mold: mold mould molds moulds
	rubber: rubber silicone silicon
	master: master original model print printed prints clay plasticine
	inhibition: inhibition inhibited inhibit
	platinum: platinum
	tin: tin
	catalyst: catalyst hardener
	pressure: pressure pressurized pressurised psi pot tank
	collapse: collapsed collapse crushed crush caved squashed squash dented
	surface: surface face skin outside outer exterior
	top: top upper lid highest ceiling
	undercut: undercut undercuts detail details chin nose fingers finger ears
	missing: missing unfilled incomplete filled reach fill
	trapped: trapped trap
	paint: paint painted primer paints painting
	peel: peel peels peeling flake flakes flaking delaminate delaminates delaminated
	fisheye: fisheye fisheyes  crawls beads
	flash: flash  squeeze squeezes ridge seamline
	seam: seam parting
	leak: leak leaks leaking leaked runs running
	half: half halves sides
	misfit: misaligned misalign mismatched offset step
	layer: layer layers coat coats
	brush: brush brushed brushing brushon
	smell: smell smells smelly stink stinks odor stench
	oil: oil oily sweat sweats sweating oozing oozes bleeds bleed
	winter: winter january cold december february season seasonal
	summer: summer june july august
	works: work works worked working
	new: new fresh
	old: old previous
	lot: lot lots kit kits
	hollow: hollow slush rotational rotocast rotocasting shell
	uneven: uneven unevenly
	side: side
	wall: wall walls
	all: all whole entire everywhere completely through throughout full
	box: box frame moldbox
	bottom: bottom under underneath base
	still: still stays stay remains
	fade: fade fades fading lost losing wearing wear blurry breaks
	film: film waxy blush
`)

// objects are what a symptom is at, and none by itself.
var objects = map[string]bool{"mold": true, "rubber": true, "surface": true, "cup": true, "jug": true, "master": true, "half": true, "box": true, "layer": true,
	"wall": true, "side": true, "seam": true, "top": true, "bottom": true, "center": true, "all": true, "hard": true, "works": true, "out": true}

// idle are words that tell nothing apart.
var idle = func() map[string]bool {
	m := map[string]bool{}
	for _, w := range strings.Fields(`a an the my your our his her its it i we you they this that these those of in on at to from for with by and or but so as is are was were be been am
		has have had do does did done get gets got gotten make makes made came come comes go goes went going just very really too much some any one two when where while what why how after before again since
		me us them he she there here than then if into onto up down over off about because which who thing things something please help problem issue trouble  weird bad badly poor
		resin part cast casting castings parts casts piece pieces pour poured pouring pours mix mixed mixing day days hour week weeks night overnight minute minutes yesterday today next last first
		would could should will may might seems seem looks look looking like feels feel felt turned turn turns became become touch touched keeps keep kept always only although though yet now
		few every each other another more most less put used use using stuff quite ended end ends seems everything nothing`) {
		m[w] = true
	}
	return m
}()

func wordsOf(table string) map[string]string {
	m := map[string]string{}
	for line := range strings.Lines(table) {
		concept, words, ok := strings.Cut(strings.TrimSpace(line), ":")
		if !ok {
			continue
		}
		for _, w := range strings.Fields(words) {
			m[w] = concept
		}
	}
	return m
}
