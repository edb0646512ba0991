"""Writes the folders `0`, `constant` and `system` of one run of the general 3D solver: melt drives air out of a cavity."""
HEAD = "FoamFile {{ version 2.0; format ascii; class {}; object {}; }}\n"


def put(folder, name, text, kind="dictionary"):
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(HEAD.format(kind, path.name) + text)


def cross(law, density):
    """Cross law at one temperature; kinematic. law: zero [Pa s], thinning [Pa], slope n [-]."""
    return (f"nu0 {law['zero'] / density:.8g}; nuInf 0; m {law['zero'] / law['thinning']:.8g}; n {1 - law['slope']:.8g};")


def constant(folder, law, density, air):
    put(folder, "constant/transportProperties",
        "phases (melt air);\n"
        f"melt {{ transportModel CrossPowerLaw; nu {law['zero'] / density:.8g}; rho {density:g};\n"
        f"  CrossPowerLawCoeffs {{ {cross(law, density)} }} }}\n"
        f"air {{ transportModel Newtonian; nu {air['viscosity'] / air['density']:.8g}; rho {air['density']:g}; }}\n"
        "sigma 0;\n")
    put(folder, "constant/g", "dimensions [0 1 -2 0 0 0 0]; value (0 0 0);\n", "uniformDimensionedVectorField")
    put(folder, "constant/turbulenceProperties", "simulationType laminar;\n")


def start(folder, flow_rate, melt):
    """flow_rate [m3/s] through the patch `inlet` of the modelled share; melt: share of melt everywhere at the start."""
    put(folder, "0/alpha.melt", "dimensions [0 0 0 0 0 0 0]; internalField uniform "
        f"{melt};\nboundaryField {{\n"
        "inlet { type fixedValue; value uniform 1; } vent { type inletOutlet; inletValue uniform 0; value uniform 0; }\n"
        "wall { type zeroGradient; } middle { type symmetryPlane; } centre { type symmetryPlane; } }\n", "volScalarField")
    put(folder, "0/U", "dimensions [0 1 -1 0 0 0 0]; internalField uniform (0 0 0);\nboundaryField {\n"
        f"inlet {{ type flowRateInletVelocity; volumetricFlowRate constant {flow_rate:.8g}; value uniform (0 0 0); }}\n"
        "vent { type pressureInletOutletVelocity; value uniform (0 0 0); }\n"
        "wall { type noSlip; } middle { type symmetryPlane; } centre { type symmetryPlane; } }\n", "volVectorField")
    put(folder, "0/p_rgh", "dimensions [1 -1 -2 0 0 0 0]; internalField uniform 0;\nboundaryField {\n"
        "inlet { type fixedFluxPressure; value uniform 0; } vent { type fixedValue; value uniform 0; }\n"
        "wall { type fixedFluxPressure; value uniform 0; } middle { type symmetryPlane; } centre { type symmetryPlane; } }\n",
        "volScalarField")


def system(folder, end, settings, probes):
    places = " ".join(f"({x / 1e3:.6g} {y / 1e3:.6g} {z / 1e3:.6g})" for x, y, z in probes)
    put(folder, "system/controlDict",
        f"application interFoam; startFrom startTime; startTime 0; stopAt endTime; endTime {end:g};\n"
        f"deltaT 1e-6; writeControl adjustableRunTime; writeInterval {end / 5:g}; writeFormat ascii; writePrecision 8;\n"
        "timePrecision 9; purgeWrite 2; runTimeModifiable yes; adjustTimeStep yes;\n"
        f"maxCo {settings['courant']:g}; maxAlphaCo {settings['front_courant']:g}; maxDeltaT {settings['largest_step']:g};\n"
        "functions {\n"
        f"probes {{ type probes; libs (sampling); writeControl timeStep; writeInterval 1; fields (alpha.melt p); probeLocations ({places}); }}\n"
        "inlet { type surfaceFieldValue; libs (fieldFunctionObjects); writeControl timeStep; writeInterval 1; writeFields no; log no;\n"
        "  regionType patch; name inlet; operation areaAverage; fields (p); }\n"
        "melt { type volFieldValue; libs (fieldFunctionObjects); writeControl timeStep; writeInterval 1; writeFields no; log no;\n"
        "  regionType all; operation volIntegrate; fields (alpha.melt); }\n}\n")
    put(folder, "system/fvSchemes",
        "ddtSchemes { default Euler; } gradSchemes { default Gauss linear; }\n"
        "divSchemes { default none; div(rhoPhi,U) Gauss upwind; div(phi,alpha) Gauss vanLeer; div(phirb,alpha) Gauss linear;\n"
        "  div(((rho*nuEff)*dev2(T(grad(U))))) Gauss linear; }\n"
        "laplacianSchemes { default Gauss linear orthogonal; } interpolationSchemes { default linear; } snGradSchemes { default orthogonal; }\n")
    final = "tolerance 1e-12; relTol 0.001;"
    put(folder, "system/fvSolution",
        "solvers {\n"
        "\"alpha.melt.*\" { nAlphaCorr 2; nAlphaSubCycles 1; cAlpha 1; MULESCorr yes; nLimiterIter 5; alphaApplyPrevCorr no;\n"
        "  solver smoothSolver; smoother symGaussSeidel; tolerance 1e-9; relTol 0; }\n"
        "\"pcorr.*\" { solver GAMG; smoother DIC; tolerance 1e-6; relTol 0; }\n"
        "p_rgh { solver PCG; tolerance 1e-12; relTol 0.01;\n"
        "  preconditioner { preconditioner GAMG; smoother DICGaussSeidel; tolerance 1e-12; relTol 0.01; nVcycles 1; } }\n"
        f"p_rghFinal {{ $p_rgh; {final} }}\n"
        "\"U.*\" { solver PBiCGStab; preconditioner DILU; tolerance 1e-12; relTol 0.01; maxIter 200; }\n}\n"
        f"PIMPLE {{ momentumPredictor yes; nOuterCorrectors {settings['outer']}; nCorrectors {settings['inner']};\n"
        "  nNonOrthogonalCorrectors 0; turbOnFinalIterOnly no; }\n"
        f"relaxationFactors {{ equations {{ \"U.*\" {settings['relax_u']:g}; }} }}\n")
