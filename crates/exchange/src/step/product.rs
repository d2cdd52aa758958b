//! What stands round the body: product, units, representation and colour (ISO 10303-41, -43, -46).

use super::encode::{Entities, Id, list, real, text};
use crate::ExportOptions;
use curves::plate::Plate;

/// Ties a solid to its product, with units and a colour.
pub(super) fn write(entities: &mut Entities, plate: &Plate, options: &ExportOptions, solid: Id) {
    let context = geometric_context(entities);
    let definition = product_definition(entities, plate, options);
    let origin = entities.add("CARTESIAN_POINT('',(0.,0.,0.))");
    let axis = entities.add("DIRECTION('',(0.,0.,1.))");
    let reference = entities.add("DIRECTION('',(1.,0.,0.))");
    let placement = entities.add(format_args!("AXIS2_PLACEMENT_3D('',{origin},{axis},{reference})"));
    let name = text(&plate.name);
    let shape = entities.add(format_args!(
        "ADVANCED_BREP_SHAPE_REPRESENTATION({name},{},{context})",
        list([placement, solid])
    ));
    let definition_shape = entities.add(format_args!("PRODUCT_DEFINITION_SHAPE('','',{definition})"));
    entities.add(format_args!("SHAPE_DEFINITION_REPRESENTATION({definition_shape},{shape})"));
    colour(entities, solid, context);
}

/// Distance below which two points of the file count as one (mm).
const POINT_UNCERTAINTY_MM: f64 = 1e-6;

fn geometric_context(entities: &mut Entities) -> Id {
    let length = entities.add("(LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.))");
    let angle = entities.add("(NAMED_UNIT(*) PLANE_ANGLE_UNIT() SI_UNIT($,.RADIAN.))");
    let solid_angle = entities.add("(NAMED_UNIT(*) SI_UNIT($,.STERADIAN.) SOLID_ANGLE_UNIT())");
    let uncertainty = entities.add(format_args!(
        "UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE({}),{length},'distance_accuracy_value','')",
        real(POINT_UNCERTAINTY_MM)
    ));
    entities.add(format_args!(
        "(GEOMETRIC_REPRESENTATION_CONTEXT(3) GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT({}) \
         GLOBAL_UNIT_ASSIGNED_CONTEXT({}) REPRESENTATION_CONTEXT('',''))",
        list([uncertainty]),
        list([length, angle, solid_angle])
    ))
}

fn product_definition(entities: &mut Entities, plate: &Plate, options: &ExportOptions) -> Id {
    let application = entities.add("APPLICATION_CONTEXT('managed model based 3d engineering')");
    entities.add(format_args!(
        "APPLICATION_PROTOCOL_DEFINITION('international standard',\
         'ap242_managed_model_based_3d_engineering',2014,{application})"
    ));
    let product_context = entities.add(format_args!("PRODUCT_CONTEXT('',{application},'mechanical')"));
    let name = text(&plate.name);
    let description = text(&options.notes.join("; "));
    let product = entities.add(format_args!("PRODUCT({name},{name},{description},({product_context}))"));
    entities.add(format_args!("PRODUCT_RELATED_PRODUCT_CATEGORY('part',$,({product}))"));
    let revision = text(&options.revision);
    let formation = entities.add(format_args!("PRODUCT_DEFINITION_FORMATION({revision},'',{product})"));
    let definition_context =
        entities.add(format_args!("PRODUCT_DEFINITION_CONTEXT('part definition',{application},'design')"));
    entities.add(format_args!("PRODUCT_DEFINITION('design','',{formation},{definition_context})"))
}

/// Ground steel, as a plain grey with a little blue.
const COLOUR: [f64; 3] = [0.62, 0.66, 0.70];

fn colour(entities: &mut Entities, solid: Id, context: Id) {
    let [red, green, blue] = COLOUR.map(real);
    let colour = entities.add(format_args!("COLOUR_RGB('',{red},{green},{blue})"));
    let fill_colour = entities.add(format_args!("FILL_AREA_STYLE_COLOUR('',{colour})"));
    let fill = entities.add(format_args!("FILL_AREA_STYLE('',({fill_colour}))"));
    let surface_fill = entities.add(format_args!("SURFACE_STYLE_FILL_AREA({fill})"));
    let side = entities.add(format_args!("SURFACE_SIDE_STYLE('',({surface_fill}))"));
    let usage = entities.add(format_args!("SURFACE_STYLE_USAGE(.BOTH.,{side})"));
    let style = entities.add(format_args!("PRESENTATION_STYLE_ASSIGNMENT(({usage}))"));
    let styled = entities.add(format_args!("STYLED_ITEM('colour',({style}),{solid})"));
    entities.add(format_args!(
        "MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',({styled}),{context})"
    ));
}
