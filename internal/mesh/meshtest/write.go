package meshtest

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
)

// STL is binary STL. Points are rounded to float32.
func (m Mesh) STL(header string) []byte {
	out := make([]byte, 84, 84+50*len(m.Faces))
	copy(out[:80], header)
	binary.LittleEndian.PutUint32(out[80:], uint32(len(m.Faces)))
	var rec [50]byte
	for _, f := range m.Faces {
		for k, v := range f {
			for i, x := range m.Points[v] {
				binary.LittleEndian.PutUint32(rec[12+12*k+4*i:], math.Float32bits(float32(x)))
			}
		}
		out = append(out, rec[:]...)
	}
	return out
}

// STLText is text STL with every digit of float64.
func (m Mesh) STLText() []byte {
	var b bytes.Buffer
	b.WriteString("solid part\n")
	for _, f := range m.Faces {
		b.WriteString("facet normal 0 0 0\nouter loop\n")
		for _, v := range f {
			p := m.Points[v]
			fmt.Fprintf(&b, "vertex %v %v %v\n", p[0], p[1], p[2])
		}
		b.WriteString("endloop\nendfacet\n")
	}
	b.WriteString("endsolid part\n")
	return b.Bytes()
}

// OBJ is an OBJ file.
func (m Mesh) OBJ() []byte {
	var b bytes.Buffer
	for _, p := range m.Points {
		fmt.Fprintf(&b, "v %v %v %v\n", p[0], p[1], p[2])
	}
	for _, f := range m.Faces {
		fmt.Fprintf(&b, "f %d %d %d\n", f[0]+1, f[1]+1, f[2]+1)
	}
	return b.Bytes()
}

// PLYText is a text PLY.
func (m Mesh) PLYText() []byte {
	b := bytes.NewBufferString(m.plyHead("ascii", "double"))
	for _, p := range m.Points {
		fmt.Fprintf(b, "%v %v %v\n", p[0], p[1], p[2])
	}
	for _, f := range m.Faces {
		fmt.Fprintf(b, "3 %d %d %d\n", f[0], f[1], f[2])
	}
	return b.Bytes()
}

func (m Mesh) plyHead(format, real string) string {
	return fmt.Sprintf("ply\nformat %s 1.0\nelement vertex %d\nproperty %s x\nproperty %s y\nproperty %s z\n"+
		"element face %d\nproperty list uchar int vertex_indices\nend_header\n", format, len(m.Points), real, real, real, len(m.Faces))
}

// PLY is a binary PLY of either byte order.
func (m Mesh) PLY(order binary.AppendByteOrder) []byte {
	name := "binary_little_endian"
	if order == binary.BigEndian {
		name = "binary_big_endian"
	}
	out := []byte(m.plyHead(name, "double"))
	for _, p := range m.Points {
		for _, x := range p {
			out = order.AppendUint64(out, math.Float64bits(x))
		}
	}
	for _, f := range m.Faces {
		out = append(out, 3)
		for _, v := range f {
			out = order.AppendUint32(out, uint32(v))
		}
	}
	return out
}

// ThreeMF is a 3MF file with one object, placed once.
func (m Mesh) ThreeMF(unit string) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, `<?xml version="1.0" encoding="UTF-8"?>`+"\n"+
		`<model unit=%q xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02"><resources><object id="1"><mesh><vertices>`+"\n", unit)
	for _, p := range m.Points {
		fmt.Fprintf(&b, `<vertex x="%v" y="%v" z="%v"/>`+"\n", p[0], p[1], p[2])
	}
	b.WriteString("</vertices><triangles>\n")
	for _, f := range m.Faces {
		fmt.Fprintf(&b, `<triangle v1="%d" v2="%d" v3="%d"/>`+"\n", f[0], f[1], f[2])
	}
	b.WriteString(`</triangles></mesh></object></resources><build><item objectid="1"/></build></model>`)
	return Zip(map[string]string{"[Content_Types].xml": contentTypes, "_rels/.rels": Rels, "3D/3dmodel.model": b.String()})
}

// Rels leads from a 3MF package to its model.
const Rels = `<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Target="/3D/3dmodel.model" Id="r" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>`

const contentTypes = `<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>`

// Zip packs parts into an archive, in no order.
func Zip(parts map[string]string) []byte {
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for name, text := range parts {
		w, err := z.Create(name)
		if err == nil {
			_, err = w.Write([]byte(text))
		}
		if err != nil {
			panic(err) // a buffer does not fail
		}
	}
	if err := z.Close(); err != nil {
		panic(err)
	}
	return out.Bytes()
}
