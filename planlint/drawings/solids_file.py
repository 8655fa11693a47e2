"""The solids of a piece as GLB, for any viewer: names and the tone of the wood only, by trimesh."""

from planlint.drawings.joined_wood import bodies_as_cut
from planlint.drawings.missing_packages import needed
from planlint.drawings.true_edges import faces
from planlint.geometry.piece import Piece
from planlint.reports.safe_words import visible

METRE = 0.0254
"""Metres in an inch: glTF counts in metres, with y up."""
_TONES = {"softwood": (233, 207, 159), "hardwood": (199, 154, 100), "plywood": (220, 199, 162)}
_OTHER = (207, 195, 173)


def glb(piece: Piece) -> bytes:
    """One mesh a part. Raises ``ExtraNeeded`` without the extra ``draw``."""
    with needed("a GLB"):
        import numpy as np  # noqa: PLC0415
        import trimesh  # noqa: PLC0415
    scene = trimesh.Scene()
    for part in piece.plan.parts:
        points: list[tuple[float, float, float]] = []
        triangles: list[tuple[int, int, int]] = []
        for face in faces(bodies_as_cut(piece)[part.index]):
            first = len(points)
            # From the piece's axes (z up) to those of glTF.
            points += [(x * METRE, z * METRE, -y * METRE) for x, y, z in face.corners]
            triangles += [(first, first + n, first + n + 1) for n in range(1, len(face.corners) - 1)]
        tone = (*_TONES.get(part.stock.material.kind, _OTHER), 255)
        material = trimesh.visual.material.PBRMaterial(
            baseColorFactor=tone,
            metallicFactor=0.0,
            roughnessFactor=0.8,
            name=visible(part.stock.material.name),
        )
        mesh = trimesh.Trimesh(np.array(points), np.array(triangles), process=False)
        mesh.visual = trimesh.visual.TextureVisuals(material=material)
        name = visible(part.name)
        scene.add_geometry(mesh, node_name=name, geom_name=name)
    data = scene.export(file_type="glb")
    assert isinstance(data, bytes)
    return data
