"""The surface under a face: plane, cylinder, cone, sphere, torus by name, or free.

Exporters write a cylinder as a b-spline, or as a revolved or extruded curve; what lies within the tolerance of an
analytic surface is that surface.
"""

# The kernel's binding has no types; they stop at this package.
# pyright: reportAttributeAccessIssue=false, reportUnknownParameterType=false

from __future__ import annotations

from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepTools import BRepTools
from OCP.Geom import Geom_RectangularTrimmedSurface, Geom_Surface
from OCP.GeomAbs import GeomAbs_SurfaceType as Type
from OCP.GeomAdaptor import GeomAdaptor_Surface
from OCP.GeomConvert import GeomConvert, GeomConvert_SurfToAnaSurf
from OCP.gp import gp_Ax3, gp_Dir, gp_Pnt
from OCP.TopoDS import TopoDS_Face

from steadyrest.part.solid.surface import FREE, Surface
from steadyrest.shop.part import Vec3

RECOGNISED_MM = 1e-3
RECOGNISED_SHARE = 1e-5  # of the body's box diagonal


def surface_of(face: TopoDS_Face, adaptor: BRepAdaptor_Surface, *, size_mm: float) -> Surface:
    """The surface of a face, recognised where it was written as something freer.

    Args:
        face: a face of a shape in mm.
        adaptor: what the kernel knows of its surface.
        size_mm: the size of the whole body, for the tolerance.
    Returns: an analytic surface, or kind "free".
    """
    found = analytic(adaptor)
    return found if found is not None else recognised(face, size_mm=size_mm)


def analytic(adaptor: BRepAdaptor_Surface | GeomAdaptor_Surface) -> Surface | None:
    """The surface by the name that the kernel gives it, or None."""
    match adaptor.GetType():
        case Type.GeomAbs_Plane:
            point, axis = placed(adaptor.Plane().Position())
            return Surface("plane", point, axis)
        case Type.GeomAbs_Cylinder:
            cylinder = adaptor.Cylinder()
            point, axis = placed(cylinder.Position())
            return Surface("cylinder", point, axis, cylinder.Radius())
        case Type.GeomAbs_Cone:
            cone = adaptor.Cone()
            _, axis = placed(cone.Position())
            angle = cone.SemiAngle()
            # The axis runs from the apex into the cone.
            axis = axis if angle > 0 else (-axis[0], -axis[1], -axis[2])
            return Surface("cone", xyz(cone.Apex()), axis, half_angle_rad=abs(angle))
        case Type.GeomAbs_Sphere:
            sphere = adaptor.Sphere()
            point, axis = placed(sphere.Position())
            return Surface("sphere", point, axis, sphere.Radius())
        case Type.GeomAbs_Torus:
            torus = adaptor.Torus()
            point, axis = placed(torus.Position())
            return Surface("torus", point, axis, torus.MajorRadius(), torus.MinorRadius())
        case _:
            return None


def recognised(face: TopoDS_Face, *, size_mm: float) -> Surface:
    """An analytic surface within tolerance of a freer one, or FREE."""
    tolerance = tolerance_mm(size_mm)
    u0, u1, v0, v1 = BRepTools.UVBounds_s(face)
    surface = BRep_Tool.Surface_s(face)
    try:
        if GeomAdaptor_Surface(surface).GetType() not in (Type.GeomAbs_BSplineSurface, Type.GeomAbs_BezierSurface):
            surface = GeomConvert.SurfaceToBSplineSurface_s(Geom_RectangularTrimmedSurface(surface, u0, u1, v0, v1))
            u0, u1, v0, v1 = surface.Bounds()
        turned = GeomConvert_SurfToAnaSurf(surface)
        plain: Geom_Surface | None = turned.ConvertToAnalytical(tolerance, u0, u1, v0, v1)
        if plain is None:
            return FREE
        found = analytic(GeomAdaptor_Surface(plain))
    except RuntimeError:  # the kernel's own exceptions: it could not, so the surface stays free
        return FREE
    if found is None or not turned.Gap() <= tolerance or found.radius_mm > 100 * size_mm:
        return FREE
    return Surface(
        found.kind, found.point, found.axis, found.radius_mm, found.minor_mm, found.half_angle_rad, turned.Gap()
    )


def tolerance_mm(size_mm: float) -> float:
    """How far a freer surface may lie off the analytic one that it is taken for."""
    return max(RECOGNISED_MM * 0.1, min(RECOGNISED_MM, RECOGNISED_SHARE * size_mm))


def placed(position: gp_Ax3) -> tuple[Vec3, Vec3]:
    return xyz(position.Location()), direction(position.Direction())


def xyz(point: gp_Pnt) -> Vec3:
    return (point.X(), point.Y(), point.Z())


def direction(unit: gp_Dir) -> Vec3:
    return (unit.X(), unit.Y(), unit.Z())
