"""Measures meshes with trimesh, shapely and scipy, for tests/it/mesh_reference.rs to compare with.

    pip install trimesh==5.2.0 shapely==2.2.0 numpy==2.4.6 scipy==1.17.1 networkx lxml
    python tests/reference/trimesh_reference.py

Writes the made shapes into tests/reference/meshes and everything measured, in the files' own
units, into tests/reference/meshes.json. Read times are printed and not kept.
"""

import json
import time
from pathlib import Path

import numpy
import scipy
import shapely
import trimesh
from scipy.optimize import minimize

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
MADE = HERE / "meshes"
# Drawn in inches; all others in millimetres.
INCHES = {"lever.stl"}


def turned(mesh, angle, axis, by):
    mesh = mesh.copy()
    mesh.apply_transform(trimesh.transformations.rotation_matrix(angle, axis))
    mesh.apply_translation(by)
    return mesh


def made():
    """Shapes of the reference library's own making, written by its own exporters."""
    torus = turned(trimesh.creation.torus(12.0, 4.0, 48, 24), 0.7, [1, 2, 0.5], [700.0, -20.0, 3.0])
    box = turned(trimesh.creation.box([20.0, 9.0, 5.0]), 0.9, [1, 1, 1], [-40.0, 60.0, 10.0])
    capsule = turned(trimesh.creation.capsule(18.0, 5.0, count=[20, 20]), 1.2, [0, 1, 0], [1.0, 2.0, 3.0])
    ring = trimesh.creation.annulus(7.0, 10.0, 6.0, sections=64)
    torus.export(MADE / "torus.stl")
    box.export(MADE / "turned_box.stl", file_type="stl_ascii")
    capsule.export(MADE / "capsule.obj")
    ring.export(MADE / "ring.obj")
    scene = trimesh.Scene()
    scene.units = "mm"
    scene.add_geometry(box, geom_name="box")
    scene.add_geometry(ring, geom_name="ring")
    scene.export(MADE / "two.3mf")


def silhouette(mesh):
    """Union of all triangles seen from above."""
    flat = mesh.triangles[:, :, :2]
    (ax, ay), (bx, by), (cx, cy) = (flat[:, i].T for i in range(3))
    area = 0.5 * abs((bx - ax) * (cy - ay) - (by - ay) * (cx - ax))
    pieces = [shapely.Polygon(t) for t in flat[area > 1e-9]]
    return shapely.union_all(pieces).area


def inscribed(mesh):
    """Diameter of the largest ball found inside: random points, the best of them climbed from."""
    rng = numpy.random.default_rng(7)
    low, high = mesh.bounds
    points = rng.uniform(low, high, (6000, 3))
    depth = trimesh.proximity.signed_distance(mesh, points)
    best = 0.0
    for start in points[numpy.argsort(-depth)[:6]]:
        found = minimize(
            lambda p: -trimesh.proximity.signed_distance(mesh, [p])[0],
            start,
            method="Nelder-Mead",
            options={"xatol": 1e-6, "fatol": 1e-7, "maxiter": 400},
        )
        best = max(best, -found.fun)
    return 2.0 * best


def stable(mesh):
    """Directions that are down in all poses in which it stands, and the first ones' silhouettes."""
    turns, _ = trimesh.poses.compute_stable_poses(mesh, threshold=0.0)
    downs = [[float(-c) + 0.0 for c in turn[2][:3]] for turn in turns]
    areas = []
    for turn in turns[:5]:
        laid = mesh.copy()
        laid.apply_transform(turn)
        areas.append(float(silhouette(laid)))
    return {"stable_downs": downs, "stable_silhouettes": areas}


def measured(path):
    start = time.perf_counter()
    mesh = trimesh.load(path, force="mesh")
    read = time.perf_counter() - start
    mesh.merge_vertices(merge_tex=True, merge_norm=True)
    if not mesh.is_watertight:
        raise SystemExit(f"{path} is open")
    inertia = mesh.moment_inertia
    print(f"{path.name}: {len(mesh.faces)} triangles, read in {read * 1000:.1f} ms")
    return {
        "file": path.relative_to(ROOT).as_posix(),
        "inches": path.name in INCHES,
        "triangles": len(mesh.faces),
        "volume": float(mesh.volume),
        "area": float(mesh.area),
        "centroid": [float(c) for c in mesh.center_mass],
        "inertia": [float(inertia[i][j]) for i, j in [(0, 0), (1, 1), (2, 2), (0, 1), (0, 2), (1, 2)]],
        "diagonal": float(mesh.scale),
        "hull_volume": float(mesh.convex_hull.volume),
        "silhouette_area": float(silhouette(mesh)),
        "inscribed_diameter": float(inscribed(mesh)),
        **stable(mesh),
    }


def main():
    MADE.mkdir(exist_ok=True)
    made()
    files = sorted((ROOT / "demo-loads" / "meshes").glob("*.stl")) + sorted(MADE.iterdir())
    result = {
        "made_with": {m.__name__: m.__version__ for m in (trimesh, shapely, numpy, scipy)},
        "meshes": [measured(path) for path in files],
    }
    (HERE / "meshes.json").write_text(json.dumps(result, indent=1) + "\n")


if __name__ == "__main__":
    main()
