import type { Fact } from "../block.ts";
import { front, type SectionBuilder, type SectionContext, toleranceText } from "./section-context.ts";

const itemFacts = (context: SectionContext): Fact[] => {
  const { texts, print, input } = context;
  const { identity, output, supply } = input.unit;
  const mode = texts.modes[output.mode];
  const facts: Fact[] = [
    { label: texts.maker, value: identity.maker },
    { label: texts.model, value: identity.model },
    { label: texts.serialNumber, value: identity.serial_number },
  ];
  if (identity.tag !== undefined) facts.push({ label: texts.tag, value: identity.tag, statedByCustomer: true });
  facts.push(
    {
      label: texts.signalRange,
      value: `${print.exact(input.unit.input.lower.mA, "mA")} ${texts.to} ${print.exact(input.unit.input.upper.mA, "mA")}`,
    },
    {
      label: texts.outputRange,
      value: `${print.pressure(output.lower)} ${texts.to} ${print.pressure(output.upper)}, ${mode}`,
    },
    {
      label: texts.supply,
      value: `${print.pressure(supply.nominal)}, ${texts.modes.gauge}`,
    },
    {
      label: texts.action,
      value: `${texts.actions[input.unit.action]}; ${texts.characteristics[input.unit.characteristic]}`,
    },
    { label: texts.position, value: texts.positions[input.unit.mounting] },
  );
  return facts;
};

const workFacts = (context: SectionContext): Fact[] => {
  const { texts, print, input } = context;
  const { dates, laboratory } = input;
  const { customer, customer_contact, received, condition } = input.unit.identity;
  const facts: Fact[] = [{ label: texts.customer, value: customer ?? texts.notStated }];
  if (customer_contact !== undefined) facts.push({ label: texts.contact, value: customer_contact });
  if (received !== undefined) facts.push({ label: texts.received, value: print.date(received) });
  if (condition !== undefined) facts.push({ label: texts.condition, value: condition });
  facts.push(
    {
      label: texts.worked,
      value:
        dates.started === dates.ended
          ? print.date(dates.started)
          : `${print.date(dates.started)} ${texts.to} ${print.date(dates.ended)}`,
    },
    { label: texts.issued, value: print.date(dates.issued) },
    {
      label: texts.place,
      value: input.site ?? texts.atLaboratory,
    },
    {
      label: texts.method,
      value:
        texts.methodText(laboratory.method.id, laboratory.method.revision) +
        (laboratory.method.title === undefined ? "" : `: ${laboratory.method.title}`),
    },
  );
  facts.push({
    label: texts.tolerance,
    value: `${toleranceText(context)}, ${texts.toleranceFrom(input.unit.tolerance_from ?? texts.notStated)}`,
  });
  const { agreed, agreement } = laboratory.next_due;
  if (input.nextDue !== undefined && agreed && agreement !== undefined) {
    facts.push({ label: texts.nextDue, value: texts.agreement(print.date(input.nextDue), agreement) });
  }
  return facts;
};

export const itemAndWork: SectionBuilder = (context) =>
  front("item-and-work", null, [
    {
      kind: "facts",
      groups: [
        { heading: context.texts.itemHeading, facts: itemFacts(context) },
        { heading: context.texts.workHeading, facts: workFacts(context) },
      ],
    },
  ]);
