"""Reads solids and meshes with a geometry kernel and a mesh library, and holds them against what a list says.

A line of the list is one file, its fields parted by tabs:
    solid  FILE  VOLUME  RELATIVE  AREA,HEIGHT  X,Y,RADIUS;X,Y,RADIUS
    mesh   FILE  VOLUME  TOLERANCE
"""

import sys

import trimesh
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.GeomAbs import GeomAbs_Cylinder, GeomAbs_Plane
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_RetDone
from OCP.STEPControl import STEPControl_Reader
from OCP.TopAbs import TopAbs_FACE, TopAbs_SOLID
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS

# Coordinates are written to the last digit of a double.
SAME = 1e-9


def parts(shape, kind):
    explorer = TopExp_Explorer(shape, kind)
    while explorer.More():
        yield explorer.Current()
        explorer.Next()


def solid(file, volume, relative, face, bores):
    reader = STEPControl_Reader()
    if reader.ReadFile(file) != IFSelect_RetDone:
        return ["cannot be read"]
    reader.TransferRoots()
    shape = reader.OneShape()
    wrong = []
    if not BRepCheck_Analyzer(shape).IsValid():
        wrong.append("is not valid")
    count = len(list(parts(shape, TopAbs_SOLID)))
    if count != 1:
        wrong.append(f"has {count} solids")
    measured = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, measured)
    if abs(measured.Mass() / float(volume) - 1) > float(relative):
        wrong.append(f"has volume {measured.Mass()!r}, not {volume}")
    faces = [TopoDS.Face(part) for part in parts(shape, TopAbs_FACE)]
    surfaces = [BRepAdaptor_Surface(each) for each in faces]
    # area times height, the kernel's own area: of the upper face
    area, height = map(float, face.split(","))
    if area > 0:
        for each, surface in zip(faces, surfaces):
            level = surface.GetType() == GeomAbs_Plane and abs(surface.Plane().Location().Z() - height) < SAME
            if level and abs(surface.Plane().Axis().Direction().Z()) > 1 - SAME:
                of_face = GProp_GProps()
                BRepGProp.SurfaceProperties_s(each, of_face, 1e-12)
                if abs(of_face.Mass() / area - 1) > 1e-9:
                    wrong.append(f"has a face of {of_face.Mass()!r}, not {area}")
    cylinders = [surface.Cylinder() for surface in surfaces if surface.GetType() == GeomAbs_Cylinder]
    for bore in filter(None, bores.split(";")):
        x, y, radius = map(float, bore.split(","))
        found = [
            one
            for one in cylinders
            if abs(one.Radius() - radius) < SAME
            and abs(one.Location().X() - x) < SAME
            and abs(one.Location().Y() - y) < SAME
            and abs(one.Axis().Direction().Z()) > 1 - SAME
        ]
        if len(found) != 1:
            wrong.append(f"has {len(found)} cylinders for the bore {bore}")
    return wrong


def mesh(file, volume, tolerance):
    body = trimesh.load(file, file_type="3mf").to_geometry()
    wrong = []
    if not body.is_watertight or not body.is_winding_consistent:
        wrong.append("is not watertight")
    if body.body_count != 1:
        wrong.append(f"has {body.body_count} bodies")
    if abs(body.volume - float(volume)) > float(tolerance):
        wrong.append(f"has volume {body.volume}, not {volume} within {tolerance}")
    return wrong


def main(list_of_files):
    counts, failed = {"solid": 0, "mesh": 0}, False
    with open(list_of_files, encoding="utf-8") as lines:
        for line in lines:
            kind, file, *fields = line.rstrip("\n").split("\t")
            for what in {"solid": solid, "mesh": mesh}[kind](file, *fields):
                failed = True
                print(f"{file} {what}")
            counts[kind] += 1
    print(f"{counts['solid']} solids and {counts['mesh']} meshes read")
    sys.exit(failed)


main(sys.argv[1])
