"""Makes the three ParaView pictures of the README from a run, with ParaView's own Python:

    xvfb-run -a pvbatch tools/dev/paraview_pictures.py RESULTS OUT_DIR

view-front.png          where the melt is after half of the fill, by the time at which it arrived
view-holding.png        pressure when holding begins
view-air-and-welds.png  caught air (size by closed volume, colour by temperature) and weld lines

RESULTS is a folder that "firstshot run" wrote. Debian's python3-paraview cannot be installed beside
libvtk9-dev, which the program is built with: unpack it into a folder of its own (dpkg-deb -x) and set
PYTHONPATH and LD_LIBRARY_PATH to it, or use another machine.
"""
import os
import sys

from paraview import simple as pv

SIZE = [1500, 940]
INK = [0.11, 0.14, 0.18]
EMPTY = [0.86, 0.86, 0.84]
WELD = [0.75, 0.05, 0.25]


def empty_view():
    view = pv.CreateRenderView()
    view.ViewSize = SIZE
    view.Background = [1.0, 1.0, 1.0]
    view.UseColorPaletteForBackground = 0
    view.OrientationAxesVisibility = 0
    view.CameraParallelProjection = 1
    view.UseLight = 1
    return view


def save(view, source, time, path):
    """From above, the whole frame in the picture."""
    view.ViewTime = time
    source.UpdatePipeline(time)
    pv.Render(view)  # the first one moves the camera
    west, east, south, north, _, top = source.GetDataInformation().GetBounds()
    view.CameraPosition = [(west + east) / 2, (south + north) / 2 - 5, top + 400]
    view.CameraFocalPoint = [(west + east) / 2, (south + north) / 2 - 5, 0]
    view.CameraViewUp = [0, 1, 0]
    view.CameraParallelScale = 0.60 * max(north - south, (east - west) * SIZE[1] / SIZE[0])
    pv.Render(view)
    pv.SaveScreenshot(path, view, ImageResolution=SIZE)
    print(path)


def blocks(reader):
    """The mesh of the cavity, and the runners as tubes of their size."""
    cavity = pv.ExtractBlock(Input=reader, Selectors=["/Root/cavity", "/Root/Block0"])
    runners = pv.ExtractBlock(Input=reader, Selectors=["/Root/runners", "/Root/Block1"])
    lines = pv.ExtractSurface(Input=pv.MergeBlocks(Input=runners))
    tubes = pv.Tube(Input=lines, Scalars=["POINTS", "radius"], VaryRadius="By Absolute Scalar", NumberofSides=12)
    return pv.MergeBlocks(Input=cavity), tubes


def coloured(view, source, field, limits, title):
    shown = pv.Show(source, view)
    shown.Ambient, shown.Diffuse, shown.Specular = 0.55, 0.45, 0.0
    pv.ColorBy(shown, field)
    scale = pv.GetColorTransferFunction(field[1])
    scale.ApplyPreset("Viridis (matplotlib)", True)
    scale.RescaleTransferFunction(*limits)
    bar = pv.GetScalarBar(scale, view)
    bar.Title, bar.ComponentTitle = title, ""
    bar.TitleColor = bar.LabelColor = INK
    bar.TitleFontSize, bar.LabelFontSize = 18, 16
    bar.Orientation, bar.WindowLocation = "Horizontal", "Lower Center"
    bar.ScalarBarLength = 0.4
    bar.AutomaticLabelFormat, bar.LabelFormat, bar.RangeLabelFormat = 0, "%.4g", "%.3g"
    shown.SetScalarBarVisibility(view, True)
    return shown


def plain(view, source, colour, opacity=1.0):
    shown = pv.Show(source, view)
    shown.ColorArrayName = ["POINTS", ""]
    shown.AmbientColor = shown.DiffuseColor = colour
    shown.Ambient, shown.Diffuse, shown.Specular = 0.6, 0.4, 0.0
    shown.Opacity = opacity
    return shown


def front(reader, times, out):
    """Where the melt was after half of the fill: all that it reached by then."""
    field = ("POINTS", "arrival time [s]")
    last = reader.PointData[field[1]].GetRange()[1]
    view = empty_view()
    for source in blocks(reader):
        plain(view, source, EMPTY)
        melt = pv.Clip(Input=source, ClipType="Scalar", Scalars=field, Value=0.5 * last, Invert=1)
        shown = coloured(view, melt, field, (0.0, last), "melt arrives after [s]")
        shown.Position = [0, 0, 0.1]
    save(view, reader, times[-1], os.path.join(out, "view-front.png"))


def holding(reader, times, out):
    field = "pressure when holding begins [MPa]"
    reader.UpdatePipeline(times[-1])
    limits = reader.PointData[field].GetRange()
    view = empty_view()
    for source in blocks(reader):
        coloured(view, source, ("POINTS", field), limits, field)
    save(view, reader, times[-1], os.path.join(out, "view-holding.png"))


def traps(reader, times, results, out):
    view = empty_view()
    cavity, runners = blocks(reader)
    plain(view, cavity, EMPTY)
    plain(view, runners, [0.74, 0.75, 0.76])
    welds = pv.XMLPolyDataReader(FileName=[os.path.join(results, "weld_lines.vtp")])
    plain(view, pv.Tube(Input=welds, Radius=0.45), WELD)
    pockets = pv.XMLPolyDataReader(FileName=[os.path.join(results, "air_pockets.vtp")])
    # A ball of the closed volume, so that a large trap looks large.
    radius = pv.Calculator(Input=pockets, ResultArrayName="ball", Function='(0.2387 * "closed volume [mm3]")^0.3333')
    balls = pv.Glyph(Input=radius, GlyphType="Sphere", ScaleArray=["POINTS", "ball"], ScaleFactor=2.0,
                     OrientationArray=["POINTS", "No orientation array"], GlyphMode="All Points")
    balls.GlyphType.ThetaResolution = balls.GlyphType.PhiResolution = 24
    limits = pockets.PointData["peak temperature [degC]"].GetRange()
    shown = coloured(view, balls, ("POINTS", "peak temperature [degC]"), limits, "caught air, hottest [degC]")
    shown.Position = [0, 0, 5]
    save(view, reader, times[-1], os.path.join(out, "view-air-and-welds.png"))


def main(results, out):
    reader = pv.PVDReader(FileName=os.path.join(results, "fill.pvd"))
    times = list(reader.TimestepValues)
    reader.UpdatePipeline(times[-1])
    front(reader, times, out)
    holding(reader, times, out)
    traps(reader, times, results, out)


if __name__ == "__main__":
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    main(sys.argv[1], sys.argv[2])
